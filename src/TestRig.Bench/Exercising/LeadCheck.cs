using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
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

    private readonly PointsInView _view = new(board, adapter);
    private readonly List<CheckDone> _checks = [];
    private readonly Dictionary<string, LeadFound> _leads = [];

    /// <param name="progress">Gets each check when it is done.</param>
    /// <exception cref="ProfileMismatchException">The profile does not fit the adapter; nothing was driven.</exception>
    public async Task<LeadCheckResult> RunAsync(IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        AdapterFit.Check(board, adapter);
        foreach (var point in Wired().Select(point => point.Name).Concat(board.Channels.Select(channel => channel.DrivenAt.Name)))
            _leads[point] = new(FoundState.NotChecked, "not checked");
        foreach (var end in board.Multiplexers.SelectMany(multiplexer => SelectEnds(multiplexer).Prepend(multiplexer.CommonEnd)))
            _leads[end] = new(FoundState.NotChecked, "not checked");
        SweepEnding ending;
        try
        {
            ending = await CheckAllAsync(progress, cancellation);
        }
        catch (OperationCanceledException)
        {
            ending = new(SweepOutcome.Cancelled, "Cancelled: nothing was commanded.");
        }
        catch (AdapterException fault)
        {
            return Result(new(SweepOutcome.AdapterFailed, fault.Message));
        }
        ending = await LastRelease.MakeAsync(adapter, ending);
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
        var preparation = new Preparation(board, adapter, options, _view);
        foreach (var step in preparation.BeforeArming)
        {
            var (check, stopped) = await step(cancellation);
            Report(check);
            if (stopped is not null)
            {
                await LinesAsync(cancellation);
                return stopped;
            }
        }
        await LinesAsync(cancellation);

        await adapter.ArmAsync(BoardLimits.Of(board, _noProgram), cancellation);
        var (leads, leadCheck) = await preparation.CheckLeadsAsync(cancellation);
        Report(leadCheck);
        await SensesAsync(leads, preparation.CheckablePins, cancellation);
        Multiplexers();
        if (preparation.ControllerLead(leads) is var (controller, unseen))
        {
            Report(controller);
            if (unseen is not null)
                return unseen;
        }
        var (idle, ending) = await preparation.IdleLevelsAsync(cancellation);
        Report(idle);
        return ending ?? SweepEnding.Complete;
    }

    /// <summary>
    /// A line's lead by the level that the released line has: only what holds the line high shows that it is there. To pull a low line up, and see whether it
    /// follows, would be a command.
    /// </summary>
    private async Task LinesAsync(CancellationToken cancellation)
    {
        var inputs = await adapter.ReadInputsAsync(cancellation);
        foreach (var channel in board.Channels)
        {
            var line = channel.Line;
            var read = inputs[line.AdapterPin];
            _leads[channel.DrivenAt.Name] = read != line.Idle
                ? new(FoundState.Wrong, $"{read.Word()}, should idle {line.Idle.Word()}: open lead, or another driver")
                : line.Idle == Level.High
                ? new(FoundState.Whole, "held high by the board")
                : new(FoundState.NotTold, "idles low, as an open lead does; a sweep tells");
        }
    }

    private async Task SensesAsync(ImmutableDictionary<string, LeadState> direct, ImmutableHashSet<string> checkable, CancellationToken cancellation)
    {
        var lines = board.Lines.Select(line => line.AdapterPin).ToHashSet();
        var analog = adapter.Pins.Where(pin => pin.Analog).Select(pin => pin.Name).ToHashSet();
        var seen = new HashSet<string>();
        foreach (var selection in _view.Selections)
        {
            var names = await _view.ShowAsync(selection, cancellation);
            // Each is looked at once, where it is seen first.
            var senses = selection.Points.Where(point => !lines.Contains(point.AdapterPin!) && seen.Add(point.Name)).ToList();
            var inputs = await adapter.ReadInputsAsync(cancellation);
            var levels = names.Apply(await adapter
                .ReadLevelsAsync([.. senses.Select(point => point.AdapterPin!).Where(analog.Contains)], Samples, cancellation))
                .ToDictionary(level => level.Signal);
            // Behind a divider a discharged pin comes back high only when the board drives it; low tells nothing.
            var divided = (await adapter.CheckLeadsAsync([.. senses.Where(point => point.Divider is not null).Select(point => point.AdapterPin!).Where(checkable.Contains)], cancellation))
                .ToDictionary(reading => reading.Pin);
            foreach (var point in senses)
            {
                // What the adapter cannot check stays unknown: that is no open lead.
                var lead = point.Divider is null ? direct.GetValueOrDefault(point.Name)
                    : !divided.TryGetValue(point.AdapterPin!, out var reading) ? LeadState.Unknown
                    : reading.AfterDischarge == Level.High ? LeadState.Driven : LeadState.Follows;
                _leads[point.Name] = Found(point, inputs[point.AdapterPin!], levels.GetValueOrDefault(point.Name), lead);
            }
        }
    }

    /// <summary>
    /// A multiplexer's own leads by the points behind it. One that the board drives shows that its common pin is joined; which of them is seen depends on the
    /// select pins, and neighbours that idle alike do not tell.
    /// </summary>
    private void Multiplexers()
    {
        foreach (var multiplexer in board.Multiplexers)
        {
            var behind = Wired().Where(point => point.Through?.Multiplexer == multiplexer).Select(point => _leads[point.Name]).ToList();
            _leads[multiplexer.CommonEnd] =
                behind.Any(lead => lead.State == FoundState.Whole) ? new(FoundState.Whole, "points are seen through it")
                : behind.Any(lead => lead.State == FoundState.Open) ? new(FoundState.Open, $"none of its inputs arrives: check this lead, and the supply, ground and enable of {multiplexer.Name}, before any of its points")
                : new(FoundState.NotTold, "nothing that is surely driven is seen through it");
            foreach (var end in SelectEnds(multiplexer))
                _leads[end] = new(FoundState.NotTold, "a sweep tells");
        }
    }

    private static IEnumerable<string> SelectEnds(Multiplexer multiplexer) => multiplexer.SelectPins.Select((_, bit) => multiplexer.SelectEnd(bit));

    /// <param name="level">Null at a pin that reads no voltage.</param>
    /// <param name="lead">Driven when the pin, discharged for a moment, came back by itself.</param>
    private LeadFound Found(TestPoint point, Level read, LevelReading? level, LeadState lead)
    {
        var words = level is null ? $"reads {read.Word()}" : $"reads {level.Mean.ToHundredths()}";
        if (level is not null && board.Supplies.FirstOrDefault(supply => supply.SensedAt == point) is { } supply)
        {
            var guard = level.Guard.Value;
            // Nothing but the supply itself comes within its own tolerance.
            if (level.Mean.Value + guard >= supply.Minimum.Value && level.Mean.Value - guard <= supply.Maximum.Value)
                return new(FoundState.Whole, words);
            return supply.Motion && level.Mean.Value - guard <= supply.Nominal.Value * Preparation.OffBelow
                ? new(FoundState.NotTold, $"{words}: off, or an open lead")
                : new(FoundState.Wrong, $"{words}, should read {supply.Minimum} to {supply.Maximum}");
        }
        if (lead == LeadState.Follows)
        {
            if (point.Divider is null)
                return new(FoundState.Open, "open lead, or nothing drives the net");
            if (read == Level.Low && IdleLevels(point).Contains(Level.High))
                return new(FoundState.Wrong, $"{words}, should be high: open lead, or a part is faulty");
            return level is not null && point.Highest is { } highest && level.Mean.Value > highest.Value * Preparation.OffBelow
                ? new(FoundState.NotTold, $"{words}, neither low nor surely driven")
                : new(FoundState.NotTold, $"{words}, as an open lead does{(board.Channels.Any(channel => channel.Stages.Any(stage => stage.Output == point)) ? "; a sweep tells" : "")}");
        }
        foreach (var idle in IdleLevels(point).Where(idle => idle != read))
            return new(FoundState.Wrong, $"{words}, should be {idle.Word()}: {(lead == LeadState.Unknown ? "its lead is open, " : "")}the clip is elsewhere, or a part is faulty");
        return lead == LeadState.Driven ? new(FoundState.Whole, words) : new(FoundState.NotTold, $"{words}; this adapter cannot check the lead at that pin");
    }

    /// <summary>What the point has to be while every line idles, by each channel whose stage ends there; empty where the profile does not tell.</summary>
    private IEnumerable<Level> IdleLevels(TestPoint point) =>
        from channel in board.Channels
        let stage = channel.Stages.ToList().FindIndex(candidate => candidate.Output == point)
        where stage >= 0
        select channel.LevelAfter(stage, channel.Line.Idle);
}
