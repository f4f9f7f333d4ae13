using System.Text.RegularExpressions;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Files;

/// <summary>Quantities outside a profile, written and refused as in one.</summary>
public static partial class QuantityText
{
    /// <param name="text">A time with its unit, e.g. "250 ms" or "250ms".</param>
    /// <param name="problem">What is wrong and what would be right; empty when nothing is.</param>
    /// <returns>Null when it cannot be read, or is 0.</returns>
    public static Duration? Time(string text, out string problem)
    {
        var written = Read(text, (reader, whole) => reader.Duration(whole)?.Value, out problem);
        if (written is not { } time || time > Duration.Zero)
            return written;
        problem = "a time of 0 makes no sense here; write how long, for example '250 ms'";
        return null;
    }

    /// <param name="text">A time that people wait for, with its unit, e.g. "8 h" or "8h".</param>
    /// <param name="problem">What is wrong and what would be right; empty when nothing is.</param>
    /// <returns>Null when it cannot be read.</returns>
    public static TimeSpan? Span(string text, out string problem) => Read(text, (reader, written) => reader.Span(written)?.Value, out problem);

    /// <param name="text">A size with its unit, e.g. "200 MB".</param>
    /// <returns>Bytes; null when it cannot be read.</returns>
    /// <inheritdoc cref="Span"/>
    public static long? Bytes(string text, out string problem) => Read(text, (reader, written) => reader.Bytes(written)?.Value, out problem);

    /// <param name="text">Upper and lower resistor of a divider, as a profile writes them or short: "100 kohm / 47 kohm", "100k/47k".</param>
    /// <param name="problem">What is wrong and what would be right; empty when nothing is.</param>
    /// <returns>Null when it cannot be read.</returns>
    public static Divider? Divider(string text, out string problem)
    {
        return Read(ShortResistor().Replace(text, "$1 $2ohm"), (reader, whole) => reader.Divider(whole)?.Value, out problem) is var (upper, lower, tolerance) ? new(upper, lower) { Tolerance = tolerance ?? Core.Boards.Divider.UsualTolerance } : null;
    }

    /// <param name="text">A current with its unit, e.g. "5 uA".</param>
    /// <returns>Null when it cannot be read.</returns>
    public static Amperes? Current(string text) => Read(text, (reader, written) => reader.Amperes(written)?.Value, out _);

    /// <param name="text">A voltage with its unit, e.g. "1.6 V".</param>
    /// <returns>Null when it cannot be read.</returns>
    public static Volts? Voltage(string text) => Read(text, (reader, written) => reader.Volts(written)?.Value, out _);

    private static T Read<T>(string text, Func<QuantityReader, Written<string>, T> read, out string problem)
    {
        var errors = new ErrorList("");
        var value = read(new(errors), new(text.Trim(), default, ""));
        problem = errors.InReadingOrder() is [var error, ..] ? $"{error.What}; {error.Remedy}" : "";
        return value;
    }

    /// <summary>"100k", which a technician writes for 100 kohm.</summary>
    [GeneratedRegex(@"([0-9])\s*([kM])(?![A-Za-z])")]
    private static partial Regex ShortResistor();
}
