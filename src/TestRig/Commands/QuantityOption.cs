using System.CommandLine;

namespace TestRig.Commands;

/// <summary>An option that takes a quantity with its unit, written as in a profile.</summary>
internal static class QuantityOption
{
    public delegate T Reader<T>(string text, out string problem);

    /// <typeparam name="T">Nullable: null where the option is not given.</typeparam>
    public static Option<T> Create<T>(string name, string description, string helpName, Reader<T> read) => new(name)
    {
        Description = description,
        HelpName = helpName,
        CustomParser = result =>
        {
            // Written more than once, it has no value, and the option itself says so.
            if (result.Tokens is not [var written])
                return default;
            var value = read(written.Value, out var problem);
            if (value is null)
                result.AddError($"{name}: {problem}.");
            return value;
        },
    };
}
