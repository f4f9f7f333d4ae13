using System.CommandLine.Parsing;
using TestRig.Bench.Files;
using TestRig.Core.Quantities;

namespace TestRig.Commands;

/// <summary>A time on the command line, written as in a profile.</summary>
internal static class DurationOption
{
    /// <summary>Null where it cannot be read; the result then has an error.</summary>
    public static Duration? Parse(string name, ArgumentResult result)
    {
        // Written more than once, it has no value, and the option itself says so.
        if (result.Tokens is not [var written])
            return null;
        if (QuantityText.Time(written.Value, out var problem) is { } time)
            return time;
        result.AddError($"{name}: {problem}.");
        return null;
    }
}
