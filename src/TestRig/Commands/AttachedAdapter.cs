using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Soaking;
using TestRig.Core.Boards;

namespace TestRig.Commands;

/// <summary>An adapter of this computer, opened anew each time.</summary>
/// <param name="adapter">As --adapter names it; null for the only one.</param>
internal sealed class AttachedAdapter(string? adapter, Board board) : IAdapterSource
{
    public Task<IAdapter> OpenAsync(CancellationToken cancellation) => AdapterOption.OpenAsync(adapter, AdapterPins.Of(board), cancellation);
}
