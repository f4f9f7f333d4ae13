using System.Collections.Immutable;
using System.Globalization;
using System.Text.RegularExpressions;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Recordings;

/// <summary>A value change dump as a recording of a board's test points.</summary>
internal sealed partial class VcdRecording : IRecording
{
    private readonly VcdReader _reader;
    private readonly string _file;
    private readonly ImmutableArray<VcdSignals.Found> _found;

    /// <summary>For each code, the signals that it is; null where nobody looks at it.</summary>
    private readonly int[]?[] _signalsOf;
    private readonly double[] _unit;
    private int[] _told = [];
    private int _next;
    private bool _off;

    /// <param name="resolution">Declared by who knows the instrument; null for what the dump itself says, or else its time step.</param>
    /// <exception cref="RecordingException">It is no dump, or lacks what the profile names.</exception>
    public VcdRecording(Stream stream, string file, Board board, Duration? resolution)
    {
        _file = file;
        _reader = new(stream, file);
        var header = _reader.Header;
        // What the profile says of others' names is not said of ours.
        _found = VcdSignals.Of(StatedCapture.Is(header) ? board with { Recordings = RecordedNames.None } : board, header, file);
        Stated = StatedCapture.Of(_reader, file, _found);
        _signalsOf = new int[header.Codes][];
        for (var i = 0; i < _found.Length; i++)
            _signalsOf[_found[i].Code] = [.. _signalsOf[_found[i].Code] ?? [], i];
        _unit = [.. _found.Select(found => board.Recordings.Signals.FirstOrDefault(signal => signal.TestPoint == found.Signal.TestPoint)?.Unit?.Value ?? 1)];
        Resolution = Stated?.Resolution ?? resolution ?? ResolutionIn(header) ?? header.Timescale.Step;
        Remarks = header.Skipped.IsEmpty ? "" : $"Keywords that the standard does not know were left out: {string.Join(", ", header.Skipped.Take(5))}.";
    }

    public ImmutableArray<BoundSignal> Signals => [.. _found.Select(found => found.Signal)];

    public string WrittenBy => _reader.Header.Version;

    public Duration Step => Stated?.Tick ?? _reader.Header.Timescale.Step;

    public Duration Resolution { get; }

    public bool TellsChangesOnly => true;

    public string Remarks { get; }

    public StatedCapture? Stated { get; }

    public Instant Now { get; private set; }

    public bool Next(out RecordedValue value)
    {
        while (_next == _told.Length)
        {
            switch (_reader.Read())
            {
                case VcdEvent.End:
                    value = default;
                    return false;
                case VcdEvent.Time:
                    Now = _reader.Header.Timescale.At(_reader.Time) ?? throw new RecordingException(
                        _file, _reader.Line, $"the time {_reader.Time.ToString(CultureInfo.InvariantCulture)} × {_reader.Header.Timescale} is beyond what can be judged", "recordings of up to 106 days can; cut it into pieces");
                    break;
                case VcdEvent.Off:
                    (_told, _next, _off) = ([.. Enumerable.Range(0, _found.Length)], 0, true);
                    break;
                case VcdEvent.Comment:
                    break;
                default:
                    if (_signalsOf[_reader.Code] is { } signals)
                        (_told, _next, _off) = (signals, 0, false);
                    break;
            }
        }
        var signal = _told[_next++];
        var found = _found[signal];
        Level? level = _off || found.Signal.InVolts ? null : _reader.Bit(found.Place) switch { FourState.Zero => Level.Low, FourState.One => Level.High, _ => null };
        value = new(signal, Instant.Max(Instant.Start, Now - Resolution), Now, level, _off || !found.Signal.InVolts ? double.NaN : _reader.Real * _unit[signal]);
        return true;
    }

    public void Dispose() => _reader.Dispose();

    /// <summary>What captures of ours say that make no statements: their step is a picosecond, so that every instant is exact, and the adapter's resolution is far from that.</summary>
    private static Duration? ResolutionIn(VcdHeader header) =>
        header.Version.StartsWith("TestRig ", StringComparison.Ordinal) && ResolutionLine().Match(header.Comment) is { Success: true } stated
            && long.TryParse(stated.Groups[1].Value, NumberStyles.None, CultureInfo.InvariantCulture, out var picoseconds) && picoseconds > 0
            ? new(picoseconds)
            : null;

    [GeneratedRegex(@"resolution ([0-9]+) ps")]
    private static partial Regex ResolutionLine();
}
