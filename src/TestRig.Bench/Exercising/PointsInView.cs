using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Exercising;

/// <summary>Which test points stand at the adapter's pins: all at once, or some at a time through multiplexers.</summary>
internal sealed class PointsInView(Board board, IAdapter adapter)
{
    public ImmutableArray<PointSelection> Selections { get; } = PointSelection.Of(board);

    /// <summary>Those with an adapter pin of their own.</summary>
    public TestPointNames Direct { get; } = new([.. board.TestPoints.Where(point => point is { AdapterPin: not null, Through: null })]);

    /// <summary>Puts the multiplexers where these points are seen; the adapter must be armed where there are multiplexers.</summary>
    /// <exception cref="AdapterException">The adapter or its link failed.</exception>
    public async Task<TestPointNames> ShowAsync(PointSelection selection, CancellationToken cancellation)
    {
        if (!board.Multiplexers.IsEmpty)
            await adapter.SelectAsync(selection.HighPins, cancellation);
        return new(selection.Points);
    }
}
