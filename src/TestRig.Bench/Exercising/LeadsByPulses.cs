using System.Collections.Immutable;

namespace TestRig.Bench.Exercising;

/// <summary>What pulses on the lines told of the leads.</summary>
/// <param name="Verdicts">One for each thing that is wrong, in the order of the diagnosis; none when every line was answered as the profile has it.</param>
/// <param name="Alike">Groups of points that answered as they should, and would so too with their leads exchanged: by this adapter, pulses do not tell them from each other.</param>
public sealed record LeadsByPulses(ImmutableArray<LeadVerdict> Verdicts, ImmutableArray<ImmutableArray<string>> Alike);

/// <param name="Words">A sentence for a technician.</param>
/// <param name="Points">Whose leads it is about; none when it is about none.</param>
public sealed record LeadVerdict(LeadBlame Blame, string Words, ImmutableArray<string> Points);

/// <summary>Whether a lead is at fault.</summary>
public enum LeadBlame
{
    /// <summary>Nothing on the board explains as well what was seen.</summary>
    Lead,

    /// <summary>A lead or something on the board: what was seen does not tell which.</summary>
    LeadOrBoard,

    /// <summary>No lead explains as well what was seen.</summary>
    Board,

    /// <summary>Neither a lead nor a part explains it.</summary>
    Unexplained,
}
