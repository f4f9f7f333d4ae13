using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Adapters;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Exercising;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Recordings;

/// <summary>
/// Judges what another instrument recorded, by a board's profile: a value change dump (.vcd) or a file of columns (.csv). The file streams by once; what is kept of it does not grow with its length.
/// </summary>
/// <param name="place">As the user named the file.</param>
public sealed class RecordingJudge(Board profile, string place, RecordingOptions options, TimeProvider time)
{
    /// <summary>Exercises of each channel that are kept whole, to be drawn and judged again; beyond them, the first of each condition.</summary>
    public const int MostKept = 20;

    private const int BytesBetweenReports = 1 << 20;

    private const double Million = 1e6;

    /// <summary>Of the reference adapter: a diagnosis compares with sweeps through one like it, but for clock and resolution.</summary>
    private static readonly (Duration LongestProgram, Duration SampleTime, Volts PinMaximum) _compared = (Duration.FromMilliseconds(30_000), Duration.FromMicroseconds(181), new(5));

    private readonly Dictionary<Channel, ChannelRepeats> _repeats = [];
    private readonly Dictionary<Channel, List<ChannelResult>> _kept = [];
    private readonly Dictionary<Channel, string> _notJudged = [];
    private readonly Dictionary<Channel, HashSet<Channel>> _companions = [];
    private readonly HashSet<Channel> _alone = [];
    private Finding? _moved;

    /// <param name="stream">At its beginning; a pipe will do. What is packed with gzip is unpacked. Stays the caller's.</param>
    /// <param name="progress">Told of the bytes that were read, packed as they are.</param>
    /// <exception cref="RecordingException">The file has a mistake, or lacks what the profile needs.</exception>
    /// <exception cref="OperationCanceledException">Nothing is told of half a recording.</exception>
    public RecordingResult Judge(Stream stream, IProgress<long> progress, CancellationToken cancellation) => Judge(stream, progress, diagnose: true, cancellation);

    /// <param name="diagnose">Explain what is not as it should be.</param>
    /// <inheritdoc cref="Judge(Stream, IProgress{long}, CancellationToken)"/>
    internal RecordingResult Judge(Stream stream, IProgress<long> progress, bool diagnose, CancellationToken cancellation)
    {
        var started = time.GetLocalNow();
        using var source = new RecordingSource(stream, place);
        using var recording = Open(source);
        var recorded = recording.Signals.Select(signal => signal.TestPoint).ToHashSet();
        if (!profile.Channels.Any(channel => recorded.Contains(channel.DrivenAt.Name)))
        {
            var driven = profile.Channels.Select(channel => channel.DrivenAt.Name).ToList();
            throw new RecordingException(
                place, 0, $"it shows no point where a command enters: none of {string.Join(", ", driven.Take(12))}{(driven.Count > 12 ? ", …" : "")}",
                $"where its names differ, say so in the profile: 'recordings: {{ signals: {{ {driven[0]}: {{ name: … }} }} }}'");
        }
        var board = RecordedBoard.Of(profile, recorded);
        var mode = board.Moves ? recording.Stated?.Mode ?? options.Mode : ExerciseMode.LogicOnly;
        var clockTolerance = recording.Stated?.ClockTolerance ?? options.ClockTolerance ?? profile.Recordings.ClockTolerance ?? 0;
        ExerciseCutter? cutter = null;
        if (recording.Stated is { } stated)
            TakeStated(stated, board);
        else
            Cut(cutter = new(board, mode, recording, clockTolerance, (channel, record) => Judged(board, mode, channel, record), NotJudged), recording, source, progress, cancellation);
        progress.Report(source.BytesRead);

        ImmutableArray<ChannelResult> channels = [.. board.Channels.Select(channel => Result(channel, recorded))];
        channels = [.. channels.Select(result => UnlessACompanionDidIt(result, channels))];
        var pins = Pins(board, recording);
        var identity = new AdapterIdentity(
            AdapterIdentity.RecordingKind, place, "recording", recording.WrittenBy, recording.Step, recording.Resolution, clockTolerance, Duration.Zero, _compared.LongestProgram, _compared.SampleTime, _compared.PinMaximum);
        var most = _repeats.Values.Select(repeats => repeats.Count).DefaultIfEmpty(1).Max();
        var sweep = new SweepResult(board, identity, mode, started, channels, Checks(recording, recorded, cutter, clockTolerance), Diagnosis.None, SweepEnding.Complete, Duration.Zero, TimeSpan.Zero)
        {
            Repeats = most,
            Rounds = most > 1 ? Rounds(board, started) : [],
            Seen = [.. channels.SelectMany(channel => ChannelSights.Of(board, channel))],
        };
        return new(diagnose ? sweep with { Diagnosis = BoardDiagnosis.Of(sweep, pins) } : sweep, pins);
    }

    private static void Cut(ExerciseCutter cutter, IRecording recording, RecordingSource source, IProgress<long> progress, CancellationToken cancellation)
    {
        var reported = 0L;
        while (recording.Next(out var value))
        {
            cutter.Take(value);
            if (source.BytesRead - reported < BytesBetweenReports)
                continue;
            cancellation.ThrowIfCancellationRequested();
            progress.Report(reported = source.BytesRead);
        }
        cutter.End();
    }

    private void TakeStated(StatedCapture stated, Board board)
    {
        if (options.Resolution is not null || options.ClockTolerance is not null)
            throw new RecordingException(place, 0, "it is a capture of TestRig's own, which says itself how well its times are known", "leave --resolution and --clock-ppm out");
        var record = stated.Read(board);
        Judged(board, stated.Mode, record.Exercise.Channel, record);
    }

    /// <summary>By its name, without the .gz of one that is packed; what that does not tell, by its content: a dump begins with a $keyword (IEEE 1364-2005 clause 18.2).</summary>
    private IRecording Open(RecordingSource source)
    {
        var resolution = options.Resolution ?? profile.Recordings.Resolution;
        var name = place.EndsWith(".gz", StringComparison.OrdinalIgnoreCase) ? Path.GetFileNameWithoutExtension(place) : place;
        var isDump = Path.GetExtension(name).ToUpperInvariant() switch
        {
            ".VCD" => true,
            ".CSV" or ".TSV" => false,
            _ => source.Start.TrimStart(" \t\r\n"u8).StartsWith("$"u8),
        };
        return isDump ? new VcdRecording(source, place, profile, resolution) : new CsvRecording(source, place, profile, resolution);
    }

    private void Judged(Board board, ExerciseMode mode, Channel channel, ExerciseRecord record)
    {
        var result = ChannelJudge.Judge(board, record);
        if (!_repeats.TryGetValue(channel, out var repeats))
        {
            _repeats[channel] = repeats = new(channel, mode, Duration.Zero);
            _kept[channel] = [];
        }
        repeats.Add(result);
        var kept = _kept[channel];
        if (kept.Count < MostKept || !kept.Exists(known => known.Condition == result.Condition))
            kept.Add(result);
        if (record.Exercise.Companions.IsEmpty)
            _alone.Add(channel);
        else if (_companions.TryGetValue(channel, out var known))
            known.UnionWith(record.Exercise.Companions);
        else
            _companions[channel] = [.. record.Exercise.Companions];
        _moved ??= QuietJudge.Motion(board, mode, result.Findings);
    }

    /// <summary>One tells why; how many there were is no reason.</summary>
    private void NotJudged(Channel channel, string words) => _notJudged.TryAdd(channel, words);

    private ChannelResult Result(Channel channel, HashSet<string> recorded)
    {
        if (_repeats.TryGetValue(channel, out var repeats) && repeats.Result is { } result)
            return result;
        var driven = channel.DrivenAt.Name;
        return ChannelResult.NotExercised(
            channel,
            !recorded.Contains(driven) ? $"{driven}, where its command enters, is not in the recording."
            : _notJudged.TryGetValue(channel, out var words) ? words
            : $"{channel.Line.Name} was not commanded in the recording: {driven} was never seen to go {channel.Line.Active.Word()} and back.");
    }

    /// <summary>
    /// What answered may have been another channel's doing, where that one was always commanded at the same time and is not as it should be.
    /// </summary>
    private ChannelResult UnlessACompanionDidIt(ChannelResult result, ImmutableArray<ChannelResult> all)
    {
        if (result.Condition != Condition.Working || _alone.Contains(result.Channel) || !_companions.TryGetValue(result.Channel, out var companions))
            return result;
        var faulty = all.Where(other => other.IsFaulty && companions.Contains(other.Channel)).Select(other => other.Channel.Name).ToList();
        return faulty.Count == 0 ? result : result with
        {
            Condition = Condition.NotTested,
            Summary = $"It answered, but it was never commanded alone, and {string.Join(", ", faulty)}, commanded at the same time, did not do as it should. Which one made it answer shows only alone.",
        };
    }

    private ImmutableArray<SweepRound> Rounds(Board board, DateTimeOffset started) =>
    [
        .. Enumerable.Range(0, _kept.Values.Max(kept => kept.Count)).Select(round => new SweepRound(
            started, TimeSpan.Zero, [.. board.Channels.Where(channel => _kept.TryGetValue(channel, out var kept) && round < kept.Count).Select(channel => _kept[channel][round])])),
    ];

    /// <summary>A sweep that a diagnosis compares with reads voltages where these were, and nothing else.</summary>
    private static ImmutableArray<AdapterPin> Pins(Board board, IRecording recording)
    {
        var inVolts = recording.Signals.Where(signal => signal.InVolts).Select(signal => signal.TestPoint).Concat(board.Supplies.Select(supply => supply.SensedAt?.AdapterPin)).ToHashSet();
        var lines = board.Lines.Select(line => line.AdapterPin).ToHashSet();
        var stops = board.Stops.Select(stop => stop.Point.AdapterPin).ToHashSet();
        return
        [
            .. board.TestPoints.Select(point => point.AdapterPin).OfType<string>().Concat(lines).Distinct()
                .Select(pin => new AdapterPin(pin, lines.Contains(pin), Sense: true, inVolts.Contains(pin), stops.Contains(pin)) { CanCheckLead = false }),
            .. board.Multiplexers.SelectMany(multiplexer => multiplexer.SelectPins).Distinct().Select(pin => new AdapterPin(pin, Line: false, Sense: false, Analog: false, Stop: false, Select: true)),
        ];
    }

    private ImmutableArray<CheckDone> Checks(IRecording recording, HashSet<string> recorded, ExerciseCutter? cutter, double clockTolerance)
    {
        var checks = ImmutableArray.CreateBuilder<CheckDone>();
        var wanted = profile.Channels.SelectMany(channel => channel.Points).Distinct().ToList();
        var missing = wanted.Where(point => !recorded.Contains(point)).ToList();
        checks.Add(new(
            "signals", true,
            $"{Number(wanted.Count - missing.Count)} of the {Number(wanted.Count)} points of the channels are in the recording{(missing.Count == 0 ? "" : $"; not judged: {string.Join(", ", missing.Take(12))}{(missing.Count > 12 ? ", …" : "")}")}.{(recording.Remarks.Length > 0 ? $" {recording.Remarks}" : "")}"));
        if (cutter?.NeverKnown.ToList() is { Count: > 0 } unknown)
            checks.Add(new("levels", true, $"unknown or undriven (x, z) through the whole recording, and so not judged: {string.Join(", ", unknown)}.", Made: false));
        if (recording.Stated is { } stated)
            checks.Add(new("capture", true, $"one of TestRig's own, of {stated.ChannelName}, {(stated.Mode == ExerciseMode.Motion ? "with motion" : "logic only")}: what was planned, when it was not looked and how well times and voltages are known is taken as it says."));
        else
            AddChecksOfOthers(checks, recording, cutter!, clockTolerance);
        if (_moved is not null)
            checks.Add(new("motion", false, $"{_moved.Words} So the motor supply was on while this was recorded: judge it with --motion."));
        return checks.ToImmutable();
    }

    /// <summary>What has to be taken for granted of what another instrument recorded, and what was found beside the exercises.</summary>
    private void AddChecksOfOthers(ImmutableArray<CheckDone>.Builder checks, IRecording recording, ExerciseCutter cutter, double clockTolerance)
    {
        var said = options.Resolution is not null || profile.Recordings.Resolution is not null;
        var clock = clockTolerance > 0 ? $"a clock off by {(clockTolerance * Million).ToString("0.###", CultureInfo.InvariantCulture)} ppm at most" : "a clock without error";
        checks.Add(new(
            "resolution", true,
            said ? $"each change was made within {recording.Resolution} before its stamp, by a recorder with {clock}, as declared."
            : recording.TellsChangesOnly ? $"taken for {recording.Resolution}{(recording.Resolution == recording.Step ? ", one step of its times" : ", as the file says")}, and for {clock}. An instrument that samples at larger steps knows less: say so with --resolution."
            : $"taken for the time between two rows ({recording.Step} at its beginning), and for {clock}.",
            said));
        var voltages = recording.Signals.Where(signal => signal.InVolts).Select(signal => signal.TestPoint).ToList();
        checks.Add(voltages.Count == 0
            ? new("voltages", true, "none was recorded: levels are those that the instrument saw, and whether they are good ones was not judged.", Made: false)
            : new("voltages", true, $"recorded at {string.Join(", ", voltages)}; taken for exact.{(cutter.LevelsOfVoltages.IsEmpty ? "" : " Levels were made of them by the limits of the receiver behind each point.")}"));
        foreach (var channel in profile.Channels)
        {
            var before = cutter.BegunBefore.GetValueOrDefault(channel.Name);
            var words = _notJudged.Where(entry => entry.Key.Name == channel.Name && _repeats.ContainsKey(entry.Key)).Select(entry => entry.Value).ToList();
            if (before > 0)
                words.Insert(0, "its line was on when the recording began: that command was not judged.");
            if (words.Count > 0)
                checks.Add(new($"left out of {channel.Name}", true, string.Join(" ", words), Made: false));
        }
        if (cutter.ByItself.Count > 0)
        {
            checks.Add(new(
                "quiet", false,
                $"changed while nothing was commanded: {string.Join(", ", cutter.ByItself.Take(5).Select(one => $"{one.Key} ({one.Value.Times.ToString(CultureInfo.InvariantCulture)} times, first at {one.Value.First})"))}. Something else drives it, or a command was not recorded."));
        }
    }

    private static string Number(int number) => number.ToString(CultureInfo.InvariantCulture);
}
