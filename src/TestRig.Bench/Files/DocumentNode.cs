using System.Collections.Immutable;

namespace TestRig.Bench.Files;

/// <summary>A node of a YAML document with its place. Only what profiles use: plain texts, lists, maps with text keys.</summary>
internal abstract record DocumentNode(Place Place)
{
    /// <summary>What the node is, for an error.</summary>
    public abstract string Kind { get; }

    /// <summary>Right behind its last character; behind the last line of a block of text, the start of a line.</summary>
    public Place End { get; init; }
}

/// <param name="Quoted">True when written in quotes or as a block.</param>
internal sealed record TextNode(Place Place, string Text, bool Quoted) : DocumentNode(Place)
{
    public override string Kind => Text.Length == 0 && !Quoted ? "nothing" : "a single value";
}

internal sealed record ListNode(Place Place, ImmutableArray<DocumentNode> Items) : DocumentNode(Place)
{
    public override string Kind => "a list";
}

internal sealed record MapNode(Place Place, ImmutableArray<MapEntry> Entries) : DocumentNode(Place)
{
    /// <summary>Written between braces, and not one key below the other.</summary>
    public bool InBraces { get; init; }

    public DocumentNode? this[string key] => Entries.FirstOrDefault(entry => entry.Key.Text == key)?.Value;

    public override string Kind => "a group of keys";
}

internal sealed record MapEntry(TextNode Key, DocumentNode Value);
