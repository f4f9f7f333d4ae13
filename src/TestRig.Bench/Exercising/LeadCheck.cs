using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Exercising;

/// <summary>
/// Looks at every lead of a profile before anything is exercised: what a sweep checks first, and then each lead by itself. Lines are driven to idle and no
/// further: nothing is commanded. Whatever happens, the adapter is released at the end.
/// </summary>
/// <param name="motorOffConfirmed">As for a sweep: asked for where no test point senses the motor supply.</param>
public sealed class LeadCheck(Board board, IAdapter adapter, bool motorOffConfirmed)
{
    private const int Samples = 16;

    /// <summary>The limits need a longest program; none is run.</summary>
    private static readonly Duration _noProgram = Duration.FromMilliseconds(100);

    private readonly TestPointNames _names = new(board);
    private readonly List<CheckDone> _checks = [];
    private readonly Dictionary<string, LeadFound> _leads = [];

    /// <param name="progress">Gets each check when it is done.</param>
    /// <exception cref="ProfileMismatchException">The profile does not fit the adapter; nothing was driven.</exception>
    public async Task<LeadCheckResult> RunAsync(IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        AdapterFit.Check(board, adapter);
        foreach (var point in Wired().Select(point => point.Name).Concat(board.Channels.Select(channel => channel.DrivenAt.Name)))
            _leads[point] = new(FoundState.NotChecked, "not checked");
        SweepEnding ending;
        try
        {
            ending = await CheckAllAsync(progress, cancellation).ConfigureAwait(false);
        }
        catch (OperationCanceledException)
        {
            ending = new(SweepOutcome.Cancelled, "Cancelled: nothing was commanded.");
        }
        catch (AdapterException fault)
        {
            return Result(new(SweepOutcome.AdapterFailed, fault.Message));
        }
        try
        {
            await adapter.ReleaseAsync(CancellationToken.None).ConfigureAwait(false);
        }
        catch (AdapterException fault)
        {
            ending = new(SweepOutcome.AdapterFailed, $"{fault.Message} The device itself releases all lines when the host is silent.");
        }
        return Result(ending);
    }

    private LeadCheckResult Result(SweepEnding ending) => new(_leads.ToImmutableDictionary(), [.. _checks], ending);

    private IEnumerable<TestPoint> Wired() => board.TestPoints.Where(point => point.AdapterPin is not null);

    private async Task<SweepEnding> CheckAllAsync(IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        void Report(CheckDone check)
        {
            _checks.Add(check);
            progress.Report(check);
        }

        var options = new SweepOptions(ExerciseMode.LogicOnly, motorOffConfirmed, NoStopInputAcknowledged: false);
        var preparation = new Preparation(board, adapter, options, _names);
        foreach (var step in preparation.BeforeArming)
        {
            var (check, stopped) = await step(cancellation).ConfigureAwait(false);
            Report(check);
            if (stopped is not null)
            {
                await LinesAsync(cancellation).ConfigureAwait(false);
                return stopped;
            }
        }
        await LinesAsync(cancellation).ConfigureAwait(false);

        await adapter.ArmAsync(BoardLimits.Of(board, _noProgram), cancellation).ConfigureAwait(false);
        var (leads, leadCheck) = await preparation.CheckLeadsAsync(cancellation).ConfigureAwait(false);
        Report(leadCheck);
        await SensesAsync(leads, cancellation).ConfigureAwait(false);
        if (preparation.ControllerLead(leads) is var (controller, unseen))
        {
            Report(controller);
            if (unseen is not null)
                return unseen;
        }
        var (idle, ending) = await preparation.IdleLevelsAsync(cancellation).ConfigureAwait(false);
        Report(idle);
        return ending ?? SweepEnding.Complete;
    }

    /// <summary>A line's lead by the level that the released line has: only what holds the line high shows that it is there.</summary>
    private async Task LinesAsync(CancellationToken cancellation)
    {
        var inputs = await adapter.ReadInputsAsync(cancellation).ConfigureAwait(false);
        foreach (var channel in board.Channels)
        {
            var line = channel.Line;
            var read = inputs[line.AdapterPin];
            _leads[channel.DrivenAt.Name] = read != line.Idle
                ? new(FoundState.Wrong, $"reads {read.Word()} and should idle {line.Idle.Word()}: open lead, or another driver on the line")
                : line.Idle == Level.High
                ? new(FoundState.Whole, "the board holds it high, its idle level")
                : new(FoundState.NotTold, "low, its idle level; an open lead reads low too, and to pull it up would be a command: a sweep shows it");
        }
    }

    private async Task SensesAsync(ImmutableDictionary<string, LeadState> direct, CancellationToken cancellation)
    {
        var lines = board.Lines.Select(line => line.AdapterPin).ToHashSet();
        var senses = Wired().Where(point => !lines.Contains(point.AdapterPin!)).ToList();
        var inputs = await adapter.ReadInputsAsync(cancellation).ConfigureAwait(false);
        var analog = adapter.Pins.Where(pin => pin.Analog).Select(pin => pin.Name).ToHashSet();
        var levels = _names.Apply(await adapter
            .ReadLevelsAsync([.. senses.Select(point => point.AdapterPin!).Where(analog.Contains)], Samples, cancellation).ConfigureAwait(false))
            .ToDictionary(level => level.Signal);
        // Behind a divider a discharged pin comes back high only when the board drives it; low tells nothing.
        var divided = (await adapter.CheckLeadsAsync([.. senses.Where(point => point.Divider is not null).Select(point => point.AdapterPin!)], cancellation).ConfigureAwait(false))
            .ToDictionary(reading => reading.Pin);
        foreach (var point in senses)
        {
            var level = levels.GetValueOrDefault(point.Name);
            var driven = point.Divider is null
                ? direct.GetValueOrDefault(point.Name) == LeadState.Driven
                : divided[point.AdapterPin!].AfterDischarge == Level.High;
            _leads[point.Name] = Found(point, inputs[point.AdapterPin!], level, driven);
        }
    }

    private LeadFound Found(TestPoint point, Level read, LevelReading? level, bool driven)
    {
        var words = level is null ? $"reads {read.Word()}" : $"reads {level.Mean}";
        if (!driven)
        {
            return point.Divider is null
                ? new(FoundState.Open, "open lead, or nothing drives the net")
                : new(FoundState.NotTold, $"{words}: low or off, or an open lead, which reads the same behind a divider{(Moves(point) ? ": a sweep shows it" : "")}");
        }
        if (board.Supplies.FirstOrDefault(supply => supply.SensedAt == point) is { } supply && level is not null)
        {
            var guard = level.StandardUncertainty.Value * MeasuredDelay.CoverageFactor;
            return level.Mean.Value + guard < supply.Minimum.Value || level.Mean.Value - guard > supply.Maximum.Value
                ? new(FoundState.Wrong, $"{words}, and should read {supply.Minimum} to {supply.Maximum}")
                : new(FoundState.Whole, words);
        }
        foreach (var channel in board.Channels)
        {
            var stage = channel.Stages.ToList().FindIndex(candidate => candidate.Output == point);
            if (stage < 0)
                continue;
            var idle = channel.LevelAfter(stage, channel.Line.Idle);
            if (read != idle)
                return new(FoundState.Wrong, $"driven, {words}, and should be {idle.Word()} while '{channel.Line.Name}' idles: the clip is at another point, or a part is faulty");
        }
        return new(FoundState.Whole, words);
    }

    private bool Moves(TestPoint point) => board.Channels.Any(channel => channel.Stages.Any(stage => stage.Output == point));
}
