using System.Collections.Frozen;
using System.Globalization;
using System.Text.RegularExpressions;
using TestRig.Core.Quantities;
using UnitsNet;
using Duration = TestRig.Core.Quantities.Duration;

namespace TestRig.Bench.Files;

/// <summary>
/// Reads quantities as technicians write them: "5 V ± 5 %", "4.7 kohm", "0..25 us". Which units a place permits is decided here, by exact spelling
/// (1 mV is not 1 MV); the arithmetic of units is UnitsNet's.
/// </summary>
internal sealed partial class QuantityReader(ErrorList errors)
{
    /// <summary>Permitted spelling → the spelling that UnitsNet reads.</summary>
    private sealed record UnitTable(string Of, string Example, FrozenDictionary<string, string> Units)
    {
        public static UnitTable Create(string of, string example, params (string Written, string Read)[] units) =>
            new(of, example, units.ToFrozenDictionary(unit => unit.Written, unit => unit.Read));

        /// <summary>One spelling for each unit, in the order of size as the tables give it.</summary>
        public string Permitted => string.Join(", ", Units.Keys.Where(unit => unit.All(char.IsAscii)).Order(StringComparer.Ordinal));
    }

    private static readonly UnitTable Voltages = UnitTable.Create("a voltage", "5 V", ("V", "V"), ("mV", "mV"), ("kV", "kV"));

    private static readonly UnitTable Resistances = UnitTable.Create(
        "a resistance", "4.7 kohm",
        ("ohm", "Ω"), ("kohm", "kΩ"), ("Mohm", "MΩ"), ("Ω", "Ω"), ("kΩ", "kΩ"), ("MΩ", "MΩ"), ("\u2126", "Ω"), ("k\u2126", "kΩ"), ("M\u2126", "MΩ"));

    private static readonly UnitTable Currents = UnitTable.Create(
        "a current", "15 mA", ("A", "A"), ("mA", "mA"), ("nA", "nA"), ("uA", "µA"), ("µA", "µA"), ("\u03BCA", "µA"));

    private static readonly UnitTable Capacitances = UnitTable.Create(
        "a capacitance", "19 pF", ("pF", "pF"), ("nF", "nF"), ("uF", "µF"), ("µF", "µF"), ("\u03BCF", "µF"));

    private static readonly UnitTable Times = UnitTable.Create(
        "a time", "250 ms", ("ns", "ns"), ("us", "µs"), ("µs", "µs"), ("\u03BCs", "µs"), ("ms", "ms"), ("s", "s"));

    private static readonly UnitTable Spans = UnitTable.Create("a time", "8 h", ("s", "s"), ("min", "min"), ("h", "h"), ("d", "d"));

    private static readonly UnitTable Sizes = UnitTable.Create("a size", "200 MB", ("kB", "kB"), ("MB", "MB"), ("GB", "GB"));

    private static readonly UnitTable Shares = UnitTable.Create("a share", "5 %", ("%", "%"));

    private delegate bool UnitsNetParser<T>(string text, IFormatProvider culture, out T quantity);

    public Written<Volts>? Volts(Written<string>? text) => Map(text, VoltsOf);

    public Written<Ohms>? Ohms(Written<string>? text) => Map(text, OhmsOf);

    public Written<Amperes>? Amperes(Written<string>? text) => Map(text, AmperesOf);

    public Written<Farads>? Farads(Written<string>? text) => Map(text, FaradsOf);

    public Written<Duration>? Duration(Written<string>? text) => Map(text, DurationOf);

    /// <summary>A time that people wait for, of up to a year.</summary>
    public Written<TimeSpan>? Span(Written<string>? text) => Map(text, whole =>
    {
        if (Quantity<UnitsNet.Duration>(whole, Spans, UnitsNet.Duration.TryParse) is not { } q)
            return (TimeSpan?)null;
        if (q.Days is > 0 and <= 366)
            return q.ToTimeSpan();
        errors.Add(whole, $"'{whole.Value}' is {(q.Days > 0 ? "more than a year" : "no time at all")}", "write for example '8 h'");
        return null;
    });

    /// <summary>Bytes on a disk: 1 kB is 1000.</summary>
    public Written<long>? Bytes(Written<string>? text) => Map(text, whole =>
    {
        if (Quantity<Information>(whole, Sizes, Information.TryParse) is not { } q)
            return (long?)null;
        if (q.Bytes is >= 1 and <= 1_000_000_000_000_000)
            return (long)q.Bytes;
        errors.Add(whole, $"'{whole.Value}' is no size of files", "write for example '200 MB'");
        return null;
    });

    /// <summary>A percentage as a fraction.</summary>
    public Written<double>? Fraction(Written<string>? text) => Map(text, FractionOf);

    /// <summary>"12 V ± 10 %": a voltage and its tolerance as a fraction.</summary>
    public Written<(Volts Nominal, double Tolerance)>? VoltsWithTolerance(Written<string>? text) => Map(text, whole =>
    {
        var parts = ToleranceSign().Split(whole.Value);
        if (parts.Length != 2 || parts[0].Length == 0)
        {
            errors.Add(whole, $"'{whole.Value}' does not say how far the voltage may be off", "write for example '5 V ± 5 %' (or '5 V +/- 5 %')");
            return ((Volts, double)?)null;
        }
        var nominal = VoltsOf(whole with { Value = parts[0].Trim() });
        var tolerance = FractionOf(whole with { Value = parts[1].Trim() });
        if (nominal is { Value: 0 })
        {
            errors.Add(whole, "a supply of 0 V supplies nothing", "write its voltage, for example '5 V ± 5 %'");
            return null;
        }
        if (tolerance is >= 1)
        {
            errors.Add(whole, $"a tolerance of {parts[1].Trim()} permits a dead supply", "write a tolerance below 100 %");
            return null;
        }
        return nominal is { } n && tolerance is { } t ? (n, t) : null;
    });

    /// <summary>"10 kohm / 4.7 kohm", or with the resistors' tolerance "10 kohm / 4.7 kohm ± 5 %": upper and lower resistor, neither 0.</summary>
    public Written<(Ohms Upper, Ohms Lower, double? Tolerance)>? Divider(Written<string>? text) => Map(text, whole =>
    {
        var withTolerance = ToleranceSign().Split(whole.Value);
        var parts = withTolerance[0].Split('/');
        if (parts.Length != 2 || withTolerance.Length > 2)
        {
            errors.Add(whole, $"'{whole.Value}' is no divider", "write upper and lower resistor, for example '100 kohm / 47 kohm' (or '100 kohm / 47 kohm ± 5 %')");
            return ((Ohms, Ohms, double?)?)null;
        }
        var upper = OhmsOf(whole with { Value = parts[0].Trim() });
        var lower = OhmsOf(whole with { Value = parts[1].Trim() });
        var tolerance = withTolerance.Length == 2 ? FractionOf(whole with { Value = withTolerance[1].Trim() }) : null;
        if (withTolerance.Length == 2 && tolerance is null)
            return null;
        if (upper is { Value: 0 } || lower is { Value: 0 })
        {
            errors.Add(whole, "a resistor of 0 ohm divides nothing", "write both resistors, for example '100 kohm / 47 kohm'");
            return null;
        }
        if (tolerance is > 0.2)
        {
            errors.Add(whole, $"resistors with a tolerance of {withTolerance[1].Trim()} make no divider", "use resistors of ± 5 % or better");
            return null;
        }
        return upper is { } u && lower is { } l ? (u, l, tolerance) : null;
    });

    /// <summary>"4.7 kohm to logic": a resistor and the name of what it goes to.</summary>
    public Written<(Ohms Resistor, Written<string> Supply)>? ResistorToSupply(Written<string>? text) => Map(text, whole =>
    {
        var parts = whole.Value.Split(" to ", 2, StringSplitOptions.TrimEntries);
        if (parts.Length != 2 || parts[1].Length == 0)
        {
            errors.Add(whole, $"'{whole.Value}' does not say which supply it pulls to", "write for example '4.7 kohm to logic'");
            return ((Ohms, Written<string>)?)null;
        }
        return OhmsOf(whole with { Value = parts[0] }) is { } resistor ? (resistor, whole with { Value = parts[1] }) : null;
    });

    /// <summary>"0..25 us", "500 ns..25 us", "..25 us": earliest (0 when left out) and latest.</summary>
    public Written<(Duration Earliest, Duration Latest)>? DurationRange(Written<string>? text) => Map(text, whole =>
    {
        if (Ends(whole) is not var (low, high))
            return ((Duration, Duration)?)null;
        if (high.Length == 0)
        {
            errors.Add(whole, $"'{whole.Value}' has no end", "write the latest time too, for example '0..25 us'");
            return null;
        }
        // The unit may be written once, at the end: "0..25 us".
        if (low.Length > 0 && NumberAndUnit().Match(low) is { Success: true } bare && bare.Groups["unit"].Length == 0)
            low += " " + NumberAndUnit().Match(high).Groups["unit"].Value;
        // A unit missing at the end is missing at both: one error is enough.
        if (DurationOf(whole with { Value = high }) is not { } l)
            return null;
        if ((low.Length == 0 ? Core.Quantities.Duration.Zero : DurationOf(whole with { Value = low.Trim() })) is not { } e)
            return null;
        if (e < l)
            return (e, l);
        errors.Add(whole, $"'{whole.Value}' ends before it begins", "write the earliest time first, then a later one: '0..25 us'");
        return null;
    });

    /// <summary>"8..12": whole numbers of at least 0, both ends.</summary>
    public Written<(int Minimum, int Maximum)>? CountRange(Written<string>? text) => Map(text, whole =>
    {
        if (Ends(whole) is not var (low, high))
            return ((int, int)?)null;
        if (low.Length == 0 || high.Length == 0)
        {
            errors.Add(whole, $"'{whole.Value}' is open at one end", "write both ends, for example '8..12'");
            return null;
        }
        if (CountOf(whole, low) is not { } minimum || CountOf(whole, high) is not { } maximum)
            return null;
        if (minimum <= maximum)
            return (minimum, maximum);
        errors.Add(whole, $"'{whole.Value}' ends before it begins", $"write '{maximum}..{minimum}'");
        return null;
    });

    /// <summary>"..10": at most so many.</summary>
    public Written<int>? CountAtMost(Written<string>? text) => Map(text, whole =>
    {
        if (Ends(whole) is not var (low, high))
            return (int?)null;
        if (low is "" or "0" && high.Length > 0)
            return CountOf(whole, high);
        errors.Add(whole, $"'{whole.Value}' is not 'at most so many'", "write for example '..10'");
        return null;
    });

    public Written<int>? Count(Written<string>? text) => Map(text, whole => CountOf(whole, whole.Value));

    private static Written<T>? Map<T>(Written<string>? text, Func<Written<string>, T?> read)
        where T : struct =>
        text is not null && read(text) is { } value ? new(value, text.Place, text.KeyPath) : null;

    private (string Low, string High)? Ends(Written<string> whole)
    {
        var parts = whole.Value.Split("..");
        if (parts.Length == 2)
            return (parts[0].Trim(), parts[1].Trim());
        errors.Add(whole, $"'{whole.Value}' is no range", "write the two ends with two dots between, for example '8..12' or '0..25 us'");
        return null;
    }

    private int? CountOf(Written<string> whole, string digits)
    {
        if (int.TryParse(digits, NumberStyles.None, CultureInfo.InvariantCulture, out var count))
            return count;
        errors.Add(whole, $"'{digits}' is no whole number", "write digits only, for example '8'");
        return null;
    }

    private Volts? VoltsOf(Written<string> text) =>
        Quantity<ElectricPotential>(text, Voltages, ElectricPotential.TryParse) is { } q ? new Volts(q.Volts) : null;

    private Ohms? OhmsOf(Written<string> text) =>
        Quantity<ElectricResistance>(text, Resistances, ElectricResistance.TryParse) is { } q ? new Ohms(q.Ohms) : null;

    private Amperes? AmperesOf(Written<string> text) =>
        Quantity<ElectricCurrent>(text, Currents, ElectricCurrent.TryParse) is { } q ? new Amperes(q.Amperes) : null;

    private Farads? FaradsOf(Written<string> text) =>
        Quantity<ElectricCapacitance>(text, Capacitances, ElectricCapacitance.TryParse) is { } q ? new Farads(q.Farads) : null;

    private double? FractionOf(Written<string> text) =>
        Quantity<Ratio>(text, Shares, Ratio.TryParse) is { } q ? q.DecimalFractions : null;

    private Duration? DurationOf(Written<string> text)
    {
        if (Quantity<UnitsNet.Duration>(text, Times, UnitsNet.Duration.TryParse) is not { } q)
            return null;
        // The range of Duration is about 106 days; no board's time is near it, and a slip of the pen is.
        if (q.Hours <= 24)
            return Core.Quantities.Duration.FromSeconds(q.Seconds);
        errors.Add(text, $"'{text.Value}' is more than a day", "check the number and its unit");
        return null;
    }

    private T? Quantity<T>(Written<string> text, UnitTable table, UnitsNetParser<T> parse)
        where T : struct
    {
        var match = NumberAndUnit().Match(text.Value);
        if (!match.Success)
        {
            errors.Add(
                text, $"'{text.Value}' is not {table.Of}",
                DecimalComma().IsMatch(text.Value)
                    ? "write the decimal point as a point, for example '4.7 kohm'"
                    : $"write a number and a unit ({table.Permitted}), for example '{table.Example}'");
            return null;
        }
        var unit = match.Groups["unit"].Value;
        var number = match.Groups["number"].Value;
        if (unit.Length == 0)
        {
            errors.Add(text, $"'{text.Value}' has no unit", $"write {table.Of} with one of the units {table.Permitted}, for example '{table.Example}'");
            return null;
        }
        if (!table.Units.TryGetValue(unit, out var read))
        {
            errors.Add(text, $"'{unit}' is not a unit for {table.Of}", $"the units are {table.Permitted}; write for example '{table.Example}'");
            return null;
        }
        if (number.StartsWith('-'))
        {
            errors.Add(text, $"'{text.Value}' is below zero", $"write {table.Of} of zero or more");
            return null;
        }
        if (parse($"{number} {read}", CultureInfo.InvariantCulture, out var quantity))
            return quantity;
        errors.Add(text, $"'{text.Value}' cannot be read as {table.Of}", $"write for example '{table.Example}'");
        return null;
    }

    [GeneratedRegex(@"^(?<number>[+-]?" + Number + @")\s*(?<unit>[^\s0-9.,+-]\S*)?$")]
    private static partial Regex NumberAndUnit();

    [GeneratedRegex(@"\s*" + ToleranceSigns + @"\s*")]
    private static partial Regex ToleranceSign();

    [GeneratedRegex(@"^[0-9]+,[0-9]")]
    private static partial Regex DecimalComma();
}
