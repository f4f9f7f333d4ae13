using System.Collections.Immutable;

namespace TestRig.Core.Boards;

/// <summary>One channel of a <see cref="ProfileExplanation"/>.</summary>
/// <param name="Points">The drive point first, then the output of each stage in path order.</param>
public sealed record ChannelExplanation(Channel Channel, ImmutableArray<PointExplanation> Points, ImmutableArray<FeedbackExplanation> Feedback);
