using System.CommandLine;

namespace TestRig.Commands;

/// <summary>--serial, shared by the commands that put a board on record.</summary>
internal static class SerialOption
{
    /// <summary>More is no serial number.</summary>
    private const int Longest = 80;

    public static Option<string?> Create(string description)
    {
        var serial = new Option<string?>("--serial") { Description = description, HelpName = "NUMBER" };
        serial.Validators.Add(result =>
        {
            if (result.GetValueOrDefault<string?>() is { } written && (written.Trim().Length is 0 or > Longest || written.Any(char.IsControl)))
                result.AddError($"--serial '{written}' is no serial number: write what stands on the board, 1 to {Longest} characters in one line.");
        });
        return serial;
    }

    public static string? Read(ParseResult parsed, Option<string?> serial) => parsed.GetValue(serial)?.Trim();
}
