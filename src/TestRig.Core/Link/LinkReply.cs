using System.Collections.Immutable;

namespace TestRig.Core.Link;

/// <summary>A reply: its result, and what follows it.</summary>
/// <param name="Body">The bytes behind the result.</param>
public sealed record LinkReply(ReplyResult Result, ImmutableArray<byte> Body)
{
    /// <summary>Splits the body of a reply's frame. An empty body is malformed: every reply begins with its result.</summary>
    public static Parsed<LinkReply> Parse(ReadOnlySpan<byte> body) => body.IsEmpty
        ? new("the reply has no result")
        : new(new LinkReply((ReplyResult)body[0], [.. body[1..]]));
}
