namespace TestRig.Bench.Exercising;

/// <summary>The profile asks for something that this adapter does not have. Nothing was driven.</summary>
public sealed class ProfileMismatchException(IReadOnlyList<string> problems)
    : Exception(string.Join(Environment.NewLine, problems))
{
    public IReadOnlyList<string> Problems { get; } = problems;
}
