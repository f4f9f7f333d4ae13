using System.CommandLine;
using System.Globalization;

namespace TestRig.Commands;

/// <summary>An option that takes a whole number.</summary>
internal static class NumberOption
{
    /// <summary>Null where it is not given.</summary>
    public static Option<int?> Create(string name, string description, int least) => new(name)
    {
        Description = description,
        HelpName = "N",
        CustomParser = result =>
        {
            // Written more than once, it has no value, and the option itself says so.
            if (result.Tokens is not [var written])
                return null;
            if (int.TryParse(written.Value, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var number) && number >= least)
                return number;
            result.AddError(string.Create(CultureInfo.InvariantCulture, $"{name} '{written.Value}' is not understood; write a whole number{(least == int.MinValue ? "" : $", {least} or more")}."));
            return null;
        },
    };
}
