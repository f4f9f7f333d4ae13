using System.Globalization;
using TestRig.Bench.Files;
using TestRig.Core.Quantities;

namespace TestRig.Service;

/// <summary>Parameters of a request as they are written; empty ones, as a form sends them, are none.</summary>
internal static class QueryText
{
    /// <summary>More is no name of anything.</summary>
    private const int Longest = 200;

    public static string? Words(string name, string? written) => written?.Trim() switch
    {
        null or "" => null,
        { Length: > Longest } => throw new BadQueryException($"'{name}' has more than {Longest} characters. Write less."),
        var words => words,
    };

    public static T? Word<T>(string name, string? written)
        where T : struct, Enum =>
        Words(name, written) is not { } word ? null : KebabWord.Read<T>(word) ?? throw new BadQueryException($"'{name}' is '{word}', which is none of: {string.Join(", ", KebabWord.All<T>())}.");

    public static bool? Truth(string name, string? written) => Words(name, written) switch
    {
        null => null,
        "true" => true,
        "false" => false,
        var word => throw new BadQueryException($"'{name}' is '{word}': write true or false."),
    };

    public static long? Number(string name, string? written, long least, long most)
    {
        if (Words(name, written) is not { } word)
            return null;
        return long.TryParse(word, NumberStyles.None, CultureInfo.InvariantCulture, out var number) && number >= least && number <= most
            ? number
            : throw new BadQueryException(string.Create(CultureInfo.InvariantCulture, $"'{name}' is '{word}': write a whole number, {least} to {most}."));
    }

    /// <summary>A time with its unit, "4.9ms"; 0 too.</summary>
    public static Duration? Time(string name, string? written)
    {
        if (Words(name, written) is not { } word)
            return null;
        if (word == "0")
            return Duration.Zero;
        return QuantityText.Time(word, out var problem) ?? throw new BadQueryException($"'{name}': {problem}.");
    }

    /// <summary>An instant, "2026-03-12T18:00:00+01:00", or a day where this computer is, "2026-03-12".</summary>
    /// <param name="end">Of a day its end is wanted, not its beginning.</param>
    public static DateTimeOffset? Instant(string name, string? written, TimeProvider time, bool end)
    {
        if (Words(name, written) is not { } word)
            return null;
        if (DateOnly.TryParseExact(word, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day) && day < DateOnly.MaxValue)
        {
            var midnight = (end ? day.AddDays(1) : day).ToDateTime(TimeOnly.MinValue);
            return new(midnight, time.LocalTimeZone.GetUtcOffset(midnight));
        }
        // In a query, '+' is a blank where nobody wrote it as %2B.
        return DateTimeOffset.TryParse(word.Replace(' ', '+'), CultureInfo.InvariantCulture, DateTimeStyles.AssumeLocal, out var instant) && word.Contains('T', StringComparison.Ordinal)
            ? instant
            : throw new BadQueryException($"'{name}' is '{word}': write a day, for example 2026-03-12, or an instant, for example 2026-03-12T18:00:00Z.");
    }
}
