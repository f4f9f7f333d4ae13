using System.Collections.Immutable;
using TestRig.Core.Boards;

namespace TestRig.Core.Learning;

/// <summary>All that is proposed for one channel.</summary>
/// <param name="Channel">Whose windows they are to be.</param>
/// <param name="From">The channel that was measured: the same one, or a good sibling.</param>
public sealed record LearnedChannel(
    Channel Channel, Channel From, ImmutableArray<LearnedWindow> Windows, ImmutableArray<LearnedContact> Contacts, ImmutableArray<NotLearned> NotLearned)
{
    /// <summary>Why nothing at all is proposed; null where that is not so.</summary>
    public string? Refusal { get; init; }
}
