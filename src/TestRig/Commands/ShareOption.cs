using System.CommandLine;
using System.Globalization;

namespace TestRig.Commands;

/// <summary>An option that takes a share of a whole, above 0 and below 1.</summary>
internal static class ShareOption
{
    public static Option<double> Create(string name, string description, double usual) => new(name)
    {
        Description = string.Create(CultureInfo.InvariantCulture, $"{description} By default {usual}."),
        HelpName = "SHARE",
        DefaultValueFactory = _ => usual,
        CustomParser = result =>
        {
            if (result.Tokens is not [var written])
                return usual;
            if (double.TryParse(written.Value, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var share) && share is > 0 and < 1)
                return share;
            result.AddError($"{name} '{written.Value}' is not understood; write a share above 0 and below 1, for example 0.95.");
            return usual;
        },
    };
}
