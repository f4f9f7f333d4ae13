using System.Collections.Immutable;

namespace TestRig.Bench.Wiring;

/// <summary>Leads that are clipped in one go: to one package, to one connector, or to parts of one kind.</summary>
public sealed record LeadGroup(string Title, ImmutableArray<LeadBody> Bodies)
{
    public IEnumerable<Lead> Leads => Bodies.SelectMany(body => body.Leads);

    /// <summary>The ground that all leads of the group have in common; null where they have none, or not the same.</summary>
    public string? SharedGround => Leads.Select(lead => lead.Ground).Distinct().ToList() is [{ } ground] ? ground : null;

    /// <summary>What stands above the leads: a ground that all share is said once.</summary>
    public string Heading => SharedGround is { } ground ? $"{Title}; all to ground {ground}" : Title;
}

/// <summary>What the leads of a group are clipped to.</summary>
/// <param name="Name">Of a part or connector; for a point of its own, the point's.</param>
/// <param name="DipPins">Pins of its dual in-line package; null where the package is not known, or there is none.</param>
/// <param name="IsPoint">True for a point of its own, which is no pin of anything.</param>
public sealed record LeadBody(string Name, int? DipPins, bool IsPoint, ImmutableArray<Lead> Leads);
