using System.Diagnostics.CodeAnalysis;

namespace TestRig.Core.Link;

/// <summary>What a body says, or why it says nothing.</summary>
public readonly record struct Parsed<T>
    where T : class
{
    internal Parsed(T value) => Value = value;

    internal Parsed(string problem) => Problem = problem;

    /// <summary>Null when the body is malformed.</summary>
    public T? Value { get; }

    /// <summary>What is wrong with the body, for a person; null when nothing is.</summary>
    public string? Problem { get; }

    [MemberNotNullWhen(true, nameof(Value))]
    public bool Succeeded => Value is not null;
}
