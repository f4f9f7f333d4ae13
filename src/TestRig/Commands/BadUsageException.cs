namespace TestRig.Commands;

/// <summary>What the command line asks for cannot be. Nothing was driven.</summary>
internal sealed class BadUsageException(IReadOnlyList<string> problems) : Exception(string.Join(Environment.NewLine, problems));
