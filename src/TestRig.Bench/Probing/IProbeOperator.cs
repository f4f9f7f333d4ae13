using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Core.Boards;

namespace TestRig.Bench.Probing;

/// <summary>Whoever holds the roving lead.</summary>
public interface IProbeOperator
{
    /// <summary>Before anything is driven.</summary>
    /// <param name="board">All of it.</param>
    /// <param name="pin">The adapter pin of the roving lead.</param>
    /// <param name="refused">Points where no lead may go.</param>
    void Begin(Board board, AdapterIdentity adapter, string pin, IEnumerable<ProbePoint> refused);

    void Tell(CheckDone check);

    /// <summary>Asked before each touch; answered when the tip is there.</summary>
    Task<ProbeAnswer> AskAsync(ProbeQuestion question, CancellationToken cancellation);

    /// <summary>What the step showed.</summary>
    void Tell(ProbeStep done);
}
