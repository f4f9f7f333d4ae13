using System.Collections.Immutable;

namespace TestRig.Core.Learning;

/// <summary>What a draft leaves to a person.</summary>
public enum DraftTopic
{
    /// <summary>Which of two points is in front of the other.</summary>
    Order,

    /// <summary>Nothing answers a line, or its own pin did not follow.</summary>
    Silent,

    /// <summary>A point that answers several lines.</summary>
    Shared,

    /// <summary>A point that answers sometimes, or changes by itself.</summary>
    Unsteady,

    /// <summary>A point that never changed.</summary>
    Quiet,

    /// <summary>A point that bounces.</summary>
    Contact,
}

/// <param name="Subjects">The lines and points that it is about.</param>
/// <param name="Words">The question, as a sentence for a technician.</param>
public sealed record DraftQuestion(DraftTopic Topic, ImmutableArray<string> Subjects, string Words);
