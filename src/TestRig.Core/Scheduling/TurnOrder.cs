using System.Collections.Immutable;
using TestRig.Core.Boards;

namespace TestRig.Core.Scheduling;

/// <summary>Which channels a turn exercises.</summary>
/// <param name="Groups">One after the other; the channels of a group at the same time.</param>
public sealed record TurnOrder(ImmutableArray<ImmutableArray<Channel>> Groups)
{
    public ImmutableArray<Channel> Channels => [.. Groups.SelectMany(group => group)];

    public static TurnOrder Of(params ReadOnlySpan<Channel> oneAfterTheOther) => new([.. oneAfterTheOther.ToArray().Select(channel => ImmutableArray.Create(channel))]);
}
