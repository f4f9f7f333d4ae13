using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;
using nietras.SeparatedValues;
using TestRig.Bench.Files;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Recordings;

/// <summary>
/// A file of columns, the time and one for each signal, as a recording of a board's test points (RFC 4180, with commas, semicolons or tabs). A change between two rows lies anywhere between them.
/// </summary>
internal sealed partial class CsvRecording : IRecording
{
    private static readonly (string Unit, long Picoseconds)[] _times = [("s", 1_000_000_000_000), ("ms", 1_000_000_000), ("us", 1_000_000), ("µs", 1_000_000), ("ns", 1_000), ("ps", 1)];

    private static readonly (string Unit, double Volts)[] _voltages = [("V", 1), ("mV", 1e-3), ("kV", 1e3)];

    private readonly string _file;
    private readonly SepReader _rows;
    private readonly Func<bool> _moveNext;
    private readonly bool _decimalComma;
    private readonly Duration? _declared;
    private readonly ImmutableArray<(BoundSignal Signal, int Column, double Volts)> _columns;
    private readonly int _timeColumn;
    private readonly decimal _picoseconds;
    private readonly bool _hasHeading;
    private decimal? _origin;
    private Instant _earlier;
    private Instant? _second;
    private int _next;
    private bool _started;

    /// <param name="stream">At its beginning; stays the caller's.</param>
    /// <param name="resolution">Declared by who knows the instrument; null for the time between two rows.</param>
    /// <exception cref="RecordingException">It has no heading that can be understood, or lacks what the profile names.</exception>
    public CsvRecording(RecordingSource stream, string file, Board board, Duration? resolution)
    {
        (_file, _declared) = (file, resolution);
        var separator = SeparatorOf(stream.Start, file);
        _decimalComma = separator != ',';
        var text = new StreamReader(stream, new UTF8Encoding(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true), detectEncodingFromByteOrderMarks: true);
        _rows = Guarded(() => Sep.New(separator).Reader(options => options with { HasHeader = false, DisableColCountCheck = true, Unescape = true }).From(text));
        _moveNext = _rows.MoveNext;
        if (!ReadRow())
            throw new RecordingException(file, 0, "the file is empty", "a heading and rows of the time and the signals are expected");
        var heading = Fields();
        _hasHeading = heading.Any(field => field.Length > 0 && !IsValue(field));
        var names = heading.Select((field, place) => _hasHeading ? ColumnName.Of(field) : new((place + 1).ToString(CultureInfo.InvariantCulture), null)).ToImmutableArray();
        var recorded = board.Recordings;
        _timeColumn = recorded.TimeColumn is { } named ? Find(names, named) ?? throw Missing("recordings.time.column", named, names) : 0;
        _picoseconds = recorded.TimeUnit?.Picoseconds ?? _times.FirstOrDefault(time => time.Unit == names[_timeColumn].Unit).Picoseconds;
        if (_picoseconds == 0)
        {
            throw new RecordingException(
                file, _hasHeading ? Line : 0, $"the time column '{names[_timeColumn].Name}' does not say its unit{(names[_timeColumn].Unit is { } odd ? $": '{odd}' is none" : "")}",
                "write it in the heading, 'time [us]' (s, ms, us, ns, ps), or in the profile: 'recordings: { time: { unit: us } }'");
        }
        _columns = Bind(board, names);
    }

    public ImmutableArray<BoundSignal> Signals => [.. _columns.Select(column => column.Signal)];

    public string WrittenBy => "";

    public Duration Step => _second is { } second && second > Instant.Start ? second - Instant.Start : new((long)Math.Max(1, _picoseconds));

    public Duration Resolution => _declared ?? Step;

    public bool TellsChangesOnly => false;

    public string Remarks => "";

    public StatedCapture? Stated => null;

    public Instant Now { get; private set; }

    /// <summary>Where the row begins. Of the first row of all, Sep 0.17.1 tells the line behind it.</summary>
    private long Line => Math.Min(_rows.Current.LineNumberFrom, _rows.Current.LineNumberToExcl - 1);

    public bool Next(out RecordedValue value)
    {
        while (!_started || _next == _columns.Length)
        {
            if ((_started || _hasHeading) && !ReadRow())
            {
                value = default;
                return false;
            }
            (_started, _next) = (true, 0);
            ReadTime();
        }
        var (signal, place, volts) = _columns[_next];
        var row = _rows.Current;
        if (place >= row.ColCount)
            throw Wrong($"the row has {row.ColCount.ToString(CultureInfo.InvariantCulture)} columns, and '{signal.Name}' is the {(place + 1).ToString(CultureInfo.InvariantCulture)}th", "every row has as many columns as the heading; was the file cut off?");
        var after = _declared is { } declared ? Instant.Max(Instant.Start, Now - declared) : _earlier;
        var field = row[place].Span.Trim();
        value = signal.InVolts ? new(_next, after, Now, null, VoltageOf(field, volts)) : new(_next, after, Now, LevelOf(field, signal), double.NaN);
        _next++;
        return true;
    }

    public void Dispose() => _rows.Dispose();

    private void ReadTime()
    {
        var row = _rows.Current;
        if (_timeColumn >= row.ColCount)
            throw Wrong("the row has no time", "every row has as many columns as the heading; was the file cut off?");
        var field = row[_timeColumn].Span.Trim();
        if (!TryNumber(field, out var number))
            throw Wrong($"'{RecordingException.Shown(field)}' is no time", $"a number is expected in column {(_timeColumn + 1).ToString(CultureInfo.InvariantCulture)}{(_decimalComma ? "" : ", with a decimal point")}");
        _origin ??= number;
        Instant now;
        try
        {
            now = new((long)Math.Round((number - _origin.Value) * _picoseconds));
        }
        catch (OverflowException cause)
        {
            throw new RecordingException(_file, Line, $"the time {RecordingException.Shown(field)} is beyond what can be judged", "recordings of up to 106 days can; cut it into pieces", cause);
        }
        if (now < Now)
            throw Wrong($"the time goes back to {RecordingException.Shown(field)}", "times ascend from row to row; were two files put together?");
        // Stamps may be rounded to the same one.
        if (now > Now)
        {
            _second ??= now;
            _earlier = Now;
        }
        Now = now;
    }

    private double VoltageOf(ReadOnlySpan<char> field, double volts)
    {
        if (field.IsEmpty || field is "-" || field.Equals("nan", StringComparison.OrdinalIgnoreCase))
            return double.NaN;
        return TryNumber(field, out var number) ? (double)number * volts : throw Wrong($"'{RecordingException.Shown(field)}' is no voltage", "a number is expected, or nothing where it is not known");
    }

    private Level? LevelOf(ReadOnlySpan<char> field, BoundSignal signal)
    {
        switch (field)
        {
            case "0":
                return Level.Low;
            case "1":
                return Level.High;
            case "" or "-" or "x" or "X" or "z" or "Z":
                return null;
            default:
                if (field.Equals("low", StringComparison.OrdinalIgnoreCase) || field is "L" or "l")
                    return Level.Low;
                if (field.Equals("high", StringComparison.OrdinalIgnoreCase) || field is "H" or "h")
                    return Level.High;
                if (TryNumber(field, out var number) && number is 0 or 1)
                    return number == 1 ? Level.High : Level.Low;
                throw Wrong(
                    $"'{RecordingException.Shown(field)}' in column '{signal.Name}' is no level",
                    $"0, 1, low or high is expected, x or nothing where it is not known. Of a voltage say the unit, in the heading ('{signal.Name} [V]') or in the profile's recordings.signals.{signal.TestPoint}");
        }
    }

    private bool TryNumber(ReadOnlySpan<char> field, out decimal number)
    {
        if (_decimalComma && field.Length <= MostDigits && field.Contains(','))
        {
            Span<char> pointed = stackalloc char[MostDigits];
            field.Replace(pointed, ',', '.');
            return decimal.TryParse(pointed[..field.Length], NumberStyles.Float, CultureInfo.InvariantCulture, out number);
        }
        return decimal.TryParse(field, NumberStyles.Float, CultureInfo.InvariantCulture, out number);
    }

    private const int MostDigits = 64;

    private bool IsValue(string field) => TryNumber(field, out _) || field is "x" or "X" or "z" or "Z" or "-";

    private ImmutableArray<(BoundSignal Signal, int Column, double Volts)> Bind(Board board, ImmutableArray<ColumnName> names)
    {
        var columns = ImmutableArray.CreateBuilder<(BoundSignal, int, double)>();
        foreach (var point in board.TestPoints)
        {
            var map = board.Recordings.Signals.FirstOrDefault(signal => signal.TestPoint == point.Name);
            // Without a heading the numbers of columns are no names: only the profile says which is which.
            if (map is null && !_hasHeading)
                continue;
            if (Find(names, map?.Name ?? point.Name) is not { } column)
            {
                if (map is not null)
                    throw Missing($"recordings.signals.{point.Name}.name", map.Name, names);
                continue;
            }
            var unit = names[column].Unit;
            var volts = map?.Unit?.Value ?? (unit is null ? null : _voltages.FirstOrDefault(voltage => voltage.Unit == unit).Volts);
            if (volts == 0)
                throw new RecordingException(_file, Line, $"the unit '{unit}' of column '{names[column].Name}' is not known", "a voltage is in V, mV or kV, and a level has no unit");
            columns.Add((new(point.Name, names[column].Name, volts is not null), column, volts ?? 0));
        }
        return columns.ToImmutable();
    }

    private int? Find(ImmutableArray<ColumnName> names, string name)
    {
        var places = Enumerable.Range(0, names.Length).Where(place => names[place].Name == name).ToList();
        if (places.Count > 1)
            throw new RecordingException(_file, Line, $"several columns are called '{name}'", "give each a name of its own");
        if (places.Count == 1)
            return places[0];
        return int.TryParse(name, NumberStyles.None, CultureInfo.InvariantCulture, out var number) && number >= 1 && number <= names.Length ? number - 1 : null;
    }

    private RecordingException Missing(string key, string name, ImmutableArray<ColumnName> names) =>
        new(_file, 0, $"the profile's {key} is '{name}', and the file has no such column", NearestName.Suggest(name, names.Select(column => column.Name), "columns"));

    private List<string> Fields()
    {
        var row = _rows.Current;
        var fields = new List<string>(row.ColCount);
        for (var column = 0; column < row.ColCount; column++)
            fields.Add(row[column].ToString().Trim());
        return fields;
    }

    /// <summary>The next row that is not blank; at the top of the file, that is no remark either.</summary>
    private bool ReadRow()
    {
        while (Guarded(_moveNext))
        {
            var first = _rows.Current[0].Span.Trim();
            if ((_rows.Current.ColCount > 1 || !first.IsEmpty) && (_started || _columns is { IsDefault: false } || !first.StartsWith('#')))
                return true;
        }
        return false;
    }

    private T Guarded<T>(Func<T> read)
    {
        try
        {
            return read();
        }
        catch (Exception cause) when (cause is InvalidDataException or NotSupportedException or DecoderFallbackException or IOException or ArgumentException)
        {
            throw new RecordingException(_file, 0, $"the file cannot be read as rows of columns: {cause.Message.Split('\n')[0].TrimEnd('.')}", "it is text in UTF-8, with commas, semicolons or tabs between the columns", cause);
        }
    }

    private RecordingException Wrong(string what, string remedy) => new(_file, Line, what, remedy);

    /// <summary>By the first line that is no remark.</summary>
    private static char SeparatorOf(ReadOnlySpan<byte> start, string file)
    {
        foreach (var line in Encoding.UTF8.GetString(start).Split('\n'))
        {
            if (line.Trim(' ', '\r', '\t', '\uFEFF') is "" or ['#', ..])
                continue;
            foreach (var separator in (char[])['\t', ';', ','])
            {
                if (line.Contains(separator))
                    return separator;
            }
            throw new RecordingException(file, 0, $"'{RecordingException.Shown(line)}' has one column", "a time and at least one signal are expected, with commas, semicolons or tabs between them");
        }
        throw new RecordingException(file, 0, "the file is empty", "a heading and rows of the time and the signals are expected");
    }

    /// <param name="Unit">Null where the heading tells none.</param>
    private sealed record ColumnName(string Name, string? Unit)
    {
        public static ColumnName Of(string heading) =>
            UnitForm().Match(heading) is { Success: true } parts ? new(parts.Groups["name"].Value.Trim(), parts.Groups["unit"].Value.Trim()) : new(heading, null);
    }

    [GeneratedRegex(@"^(?<name>.+?)\s*(?:\[(?<unit>[^\]\d]+)\]|\((?<unit>[^)\d]+)\))$")]
    private static partial Regex UnitForm();
}
