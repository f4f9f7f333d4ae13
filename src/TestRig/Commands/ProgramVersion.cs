using System.Reflection;

namespace TestRig.Commands;

/// <summary>The version of this program, as its build says.</summary>
internal static class ProgramVersion
{
    public static string Text { get; } =
        typeof(ProgramVersion).Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()!.InformationalVersion;
}
