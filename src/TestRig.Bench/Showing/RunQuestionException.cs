namespace TestRig.Bench.Showing;

/// <summary>What is asked of a kept run cannot be told. The message says why, and what can be asked instead.</summary>
/// <param name="unknown">True where what is asked about is not on record; false where it is, and the question does not fit it.</param>
public sealed class RunQuestionException(string message, bool unknown) : Exception(message)
{
    public bool IsUnknown { get; } = unknown;
}
