using System.Collections.Immutable;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;

namespace TestRig.Bench.Files;

/// <summary>Either a board, or everything that is wrong with its profile and the part library.</summary>
/// <param name="Board">Null when there is any error.</param>
/// <param name="Errors">By file, then in reading order.</param>
public sealed record ProfileResult(Board? Board, ImmutableArray<ProfileError> Errors)
{
    /// <summary>What the board was read from; null when there is any error.</summary>
    public ProfileSource? Source { get; init; }

    /// <summary>All part types that the profile could name.</summary>
    public required PartLibrary Library { get; init; }
}
