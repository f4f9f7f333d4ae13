namespace TestRig.Commands;

/// <summary>The version of this program, as its build says.</summary>
internal static class ProgramVersion
{
    public static string Text { get; } = typeof(ProgramVersion).Assembly.GetName().Version is { } version
        ? version.ToString(3)
        : throw new InvalidOperationException("The program was built without a version.");
}
