using System.Collections.Immutable;

namespace TestRig.Bench.Storage;

/// <summary>A profile's text with those of the part types that it uses.</summary>
/// <param name="Path">As the user wrote it.</param>
/// <param name="Parts">By part type; only those that the profile names, and of a trial those that its parts may turn out to be.</param>
public sealed record ProfileSource(string Path, string Text, ImmutableSortedDictionary<string, string> Parts);
