using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing;

/// <summary>One way in which one item of the board, or of the measuring set-up, may have failed.</summary>
/// <param name="Item">What would be replaced, reclipped or looked for: "OK3", "lead at U3.16", "bridge between U3.18 and U3.16".</param>
/// <param name="Mode">How it fails.</param>
/// <param name="Words">The same in words, with the section where it matters; a technician reads it behind the item.</param>
/// <param name="Written">As faults are written for the simulated bench, for example "OK3=dead"; more than one where one lead serves several parts.</param>
/// <param name="Odds">Before anything was seen, p / (1 − p).</param>
/// <param name="Channels">The channels that it may touch; none named when it may touch all.</param>
public sealed record BoardFault(
    string Item, FaultMode Mode, string Words, ImmutableArray<string> Written, double Odds, ImmutableArray<string> Channels)
{
    /// <summary>The nets that are joined, for a bridge; the points whose leads are exchanged, for those.</summary>
    public ImmutableArray<string> Between { get; init; } = [];

    /// <summary>A lead is open, or goes elsewhere.</summary>
    public bool IsLead => Mode == FaultMode.LeadOpen;

    /// <summary>The leads at two points are exchanged.</summary>
    public bool IsExchange => IsLead && Words == Exchanged;

    /// <summary>The words of that.</summary>
    internal const string Exchanged = "exchanged";

    /// <summary>How it is written, as one text.</summary>
    public string Name => string.Join(" ", Written);

    public bool Equals(BoardFault? other) => other is not null && Name == other.Name;

    public override int GetHashCode() => StringComparer.Ordinal.GetHashCode(Name);

    public override string ToString() => Name;
}
