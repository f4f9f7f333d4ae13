using TestRig.Core.Quantities;

namespace TestRig.Bench.Files;

/// <summary>Quantities outside a profile, written and refused as in one.</summary>
public static class QuantityText
{
    /// <param name="text">A time with its unit, e.g. "250 ms" or "250ms".</param>
    /// <param name="problem">What is wrong and what would be right; empty when nothing is.</param>
    /// <returns>Null when it cannot be read, or is 0.</returns>
    public static Duration? Time(string text, out string problem)
    {
        var errors = new ErrorList("");
        var written = new QuantityReader(errors).Duration(new(text.Trim(), default, ""));
        problem = errors.InReadingOrder() is [var error, ..] ? $"{error.What}; {error.Remedy}" : "";
        if (written is not { Value: var time } || time > Duration.Zero)
            return written?.Value;
        problem = "a time of 0 makes no sense here; write how long, for example '250 ms'";
        return null;
    }
}
