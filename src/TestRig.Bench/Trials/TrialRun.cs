using System.Collections.Immutable;
using Serilog;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;
using TestRig.Core.Trials;

namespace TestRig.Bench.Trials;

/// <summary>
/// Tries isolators in a socket, one after the other: the leakage with the adapter released, the transfer ratio in one program with the small load in the circuit, the delays in sweeps of the
/// socket's channel. Between parts the adapter is released: its pins drive nothing while a hand is in the socket.
/// </summary>
public sealed class TrialRun
{
    /// <summary>Of each tap: noise averages, and the LED is lit for some milliseconds only, so that it does not get warm.</summary>
    private const int Samples = 16;

    /// <summary>While all is dark there is time.</summary>
    private const int DarkSamples = 64;

    /// <summary>Of the channel for its delays, each at another phase of the adapter's looks.</summary>
    private const int Repeats = 8;

    private static readonly Duration _lead = Duration.FromMilliseconds(1), _settles = Duration.FromMilliseconds(2);

    private readonly TrialJudge _judge;
    private readonly Socket _socket;
    private readonly Func<int, IAdapter> _bench;
    private readonly TimeProvider _time;
    private readonly ILogger _log;
    private LevelReading? _empty;

    /// <param name="judge">Of the socket.</param>
    /// <param name="bench">The adapter with that part in the socket; 0 for the empty socket. The simulated bench has one for each.</param>
    public TrialRun(TrialJudge judge, Func<int, IAdapter> bench, TimeProvider time, ILogger log) =>
        (_judge, _socket, _bench, _time, _log) = (judge, judge.Socket, bench, time, log);

    /// <exception cref="ProfileMismatchException">The board is none.</exception>
    public static Socket SocketOf(Board board) =>
        board.Socket ?? throw new ProfileMismatchException([$"{board.Name} is no socket for trials: its profile has no 'socket'. profiles/isolator-socket.yaml is one."]);

    /// <param name="claimed">What the parts are said to be.</param>
    /// <param name="library">Whose other types a part may really be.</param>
    /// <exception cref="ProfileMismatchException">The board is no socket, or no isolator of that type goes into it.</exception>
    public static TrialJudge JudgeOf(Board board, IsolatorType claimed, PartLibrary library)
    {
        var socket = SocketOf(board);
        return socket.Takes(claimed)
            ? new(board, claimed, library.Types.Values.OfType<IsolatorType>())
            : throw new ProfileMismatchException([$"A {claimed.Name} has other pins than the socket of {board.Name}, which is wired for a {socket.Part.Type.Name}."]);
    }

    /// <summary>Reads what the adapter's own pins leak, and sees that nothing is in the socket. Comes before the first part.</summary>
    /// <returns>The voltage at the emitter; and null, or what is wrong.</returns>
    /// <exception cref="AdapterException">The adapter failed.</exception>
    /// <exception cref="ProfileMismatchException">The adapter lacks what the socket needs; nothing was driven.</exception>
    public async Task<(Volts Empty, string? Problem)> MeasureEmptyAsync(CancellationToken cancellation)
    {
        AdapterFit.Check(_judge.Board, _bench(0));
        var readings = await ReadAsync(_bench(0), cancellation);
        _empty = readings.Dark;
        var figures = SocketFigures.Of(_socket, readings, readings.Dark, _judge.Claimed);
        return (readings.Dark.Mean, figures.IsLit
            ? $"{new Amperes(figures.LedCurrent.Value)} flow from anode to cathode: the socket is not empty. Take the part out and begin again."
            : null);
    }

    /// <exception cref="AdapterException">The adapter failed.</exception>
    /// <exception cref="InvalidOperationException">The empty socket was not measured.</exception>
    public async Task<(TriedPart Part, PartTrial Judged)> TryAsync(int number, CancellationToken cancellation)
    {
        var empty = _empty ?? throw new InvalidOperationException("The empty socket comes first.");
        var (adapter, started) = (_bench(number), _time.GetLocalNow());
        var figures = SocketFigures.Of(_socket, await ReadAsync(adapter, cancellation), empty, _judge.Claimed);
        var measured = new PartMeasurement(figures, await MeasureDelaysAsync(adapter, cancellation));
        var judged = _judge.Judge(number, measured);
        _log.Information("Part {Number}: {Verdict}, LED {Led} A, {Figures}", number, judged.Verdict, figures.LedCurrent.Value, judged.Figures);
        return (new(number, started, _time.GetLocalNow() - started, measured), judged);
    }

    /// <summary>A part that is passed over.</summary>
    public TriedPart Skip(int number) => new(number, _time.GetLocalNow(), TimeSpan.Zero, null);

    private async Task<SocketReadings> ReadAsync(IAdapter adapter, CancellationToken cancellation)
    {
        try
        {
            await adapter.ReleaseAsync(cancellation);
            // Behind the bleeder's megohm the converter still holds some of the channel that it read before: the first reading takes that away.
            ImmutableArray<string> emitter = [_socket.Emitter.AdapterPin!];
            await adapter.ReadLevelsAsync(emitter, DarkSamples, cancellation);
            var dark = (await adapter.ReadLevelsAsync(emitter, DarkSamples, cancellation))[0];
            return new(dark, await ReadLitAsync(adapter, cancellation));
        }
        finally
        {
            await adapter.ReleaseAsync(CancellationToken.None);
        }
    }

    private async Task<LitReadings> ReadLitAsync(IAdapter adapter, CancellationToken cancellation)
    {
        var line = _socket.Channel.Line.AdapterPin;
        ImmutableArray<string> pins = [_socket.Anode.AdapterPin!, _socket.Cathode.AdapterPin!, _socket.Sink.AdapterPin!, _socket.Emitter.AdapterPin!, _socket.RatioLow.AdapterPin!];
        var measures = _lead + _settles;
        var dark = measures + (adapter.Identity.SampleTime * (pins.Length * Samples)) + _settles;
        var program = new StimulusProgram([new LinesStep(_lead, [line]), new MeasureStep(measures, pins, Samples), new LinesStep(dark, [])], dark + _lead);
        var limits = BoardLimits.Of(_judge.Board, program.Length) with { Selects = [_socket.Ratio.AdapterPin] };
        await adapter.ArmAsync(limits, cancellation);
        var capture = (await adapter.RunAsync(program, cancellation)).Capture;
        LevelReading At(string pin) => capture.Levels.FirstOrDefault(level => level.Signal == pin)
            ?? throw new AdapterException(AdapterFault.BrokenAnswer, $"The adapter read no voltage at {pin}, though its program says so: nothing of this part is used. Try again.");
        return new(At(pins[0]), At(pins[1]), At(pins[2]), At(pins[3]), At(pins[4]));
    }

    private async Task<SocketDelays> MeasureDelaysAsync(IAdapter adapter, CancellationToken cancellation)
    {
        var options = new SweepOptions(ExerciseMode.LogicOnly, MotorOffConfirmed: false, NoStopInputAcknowledged: false) { Repeats = Repeats };
        var result = await new Sweep(_judge.Board, adapter, options, _time, _log).MeasureAsync(Unwatched.Sweep, cancellation);
        cancellation.ThrowIfCancellationRequested();
        return result.Ending.Outcome == SweepOutcome.AdapterFailed
            ? throw new AdapterException(AdapterFault.Silent, result.Ending.Words)
            : SocketDelays.Of(result.Channels.First(channel => channel.Channel.Name == _socket.Channel.Name), _socket.Emitter.Name);
    }
}
