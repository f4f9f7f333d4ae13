using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Exercising;

/// <summary>What is looked at before anything is driven, and once more at the end.</summary>
internal sealed class Preparation(Board board, IAdapter adapter, SweepOptions options, PointsInView view)
{
    private const int Samples = 16;

    /// <summary>A supply that reads less than this fraction of nominal is off (common practice).</summary>
    internal const double OffBelow = 0.1;

    private readonly List<Seen> _seen = [];

    private enum SupplyOutcome
    {
        SurelyOff,
        SurelyTooLow,

        /// <summary>As it should be, or so near to it that this adapter cannot tell.</summary>
        NotSurelyWrong,
        SurelyTooHigh,
    }

    /// <summary>What was looked at so far, as a diagnosis takes it.</summary>
    public IReadOnlyList<Seen> SeenSoFar => _seen;

    /// <summary>The checks that need no armed adapter, in order.</summary>
    public ImmutableArray<Func<CancellationToken, Task<(CheckDone Check, SweepEnding? Ending)>>> BeforeArming => board.Controller is null
        ? [SuppliesAsync, LinesReleasedAsync, StopInputsAsync]
        : [SuppliesAsync, ControllerAsync, LinesReleasedAsync, StopInputsAsync];

    /// <summary>Makes one check and tells of it. Null when what follows may go on.</summary>
    public static async Task<SweepEnding?> MakeAsync(
        Func<CancellationToken, Task<(CheckDone Check, SweepEnding? Ending)>> check, IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        var (done, ending) = await check(cancellation);
        progress.Report(done);
        return ending;
    }

    /// <summary>Makes the checks before arming, arms, and looks at the leads. Null when lines may be driven.</summary>
    public async Task<SweepEnding?> ArmAsync(AdapterLimits limits, IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        foreach (var check in BeforeArming)
        {
            if (await MakeAsync(check, progress, cancellation) is { } notReady)
                return notReady;
        }
        await adapter.ArmAsync(limits, cancellation);
        var (leads, leadCheck) = await CheckLeadsAsync(cancellation);
        progress.Report(leadCheck);
        if (ControllerLead(leads) is not var (controllerCheck, ending))
            return null;
        progress.Report(controllerCheck);
        return ending;
    }

    public async Task<(CheckDone Check, SweepEnding? Ending)> SuppliesAsync(CancellationToken cancellation)
    {
        const string name = "supplies";
        if (options.Mode == ExerciseMode.Motion && adapter.Identity.IsHostTimed && HostCannotMove() is { } why)
            return Safety(name, why);
        if (options.Mode == ExerciseMode.Motion && board.Stops.IsEmpty && !options.NoStopInputAcknowledged)
            return Safety(name, "The profile names no stop input. Motion needs one wired to the adapter (stops: in the profile), or --no-stop-input to accept the risk.");

        var sensed = board.Supplies.Where(supply => supply.SensedAt?.AdapterPin is not null).ToImmutableArray();
        var readings = view.Direct.Apply(await adapter
            .ReadLevelsAsync([.. sensed.Select(supply => supply.SensedAt!.AdapterPin!)], Samples, cancellation));
        var words = new List<string>();
        foreach (var supply in sensed)
        {
            var reading = readings.First(level => level.Signal == supply.SensedAt!.Name);
            var guard = reading.Guard.Value;
            _seen.Add(SupplySeen(supply, reading));
            if (supply.Motion && options.Mode == ExerciseMode.LogicOnly)
            {
                if (reading.Mean.Value - guard > supply.Nominal.Value * OffBelow)
                    return Safety(name, $"Motor supply '{supply.Name}' is on ({reading.Mean.ToHundredths()} at {reading.Signal}). In logic-only mode it must be off and locked out; to exercise with motion, use --allow-motion.");
                // An open lead reads 0 V too: what was read is said, with what it takes to be true.
                words.Add($"{supply.Name} {reading.Mean.ToHundredths()} (off, if the lead at {reading.Signal} is whole)");
                continue;
            }
            if (reading.Mean.Value + guard < supply.Minimum.Value || reading.Mean.Value - guard > supply.Maximum.Value)
            {
                return NotReady(name, $"Supply '{supply.Name}' reads {reading.Mean.ToHundredths()} at {reading.Signal}; it should be {supply.Minimum} to {supply.Maximum}. Nothing was driven. {Instead(supply, reading.Mean.Value, guard)}");
            }
            var untold = reading.Mean < supply.Minimum || reading.Mean > supply.Maximum
                ? $" (it should be {supply.Minimum} to {supply.Maximum}; too near for this adapter to tell, measure it)"
                : "";
            words.Add($"{supply.Name} {reading.Mean.ToHundredths()}{untold}");
        }

        var unsensed = board.Supplies.FirstOrDefault(supply => supply.Motion && supply.SensedAt?.AdapterPin is null);
        if (options.Mode == ExerciseMode.LogicOnly && unsensed is not null && !options.MotorOffConfirmed)
            return Safety(name, $"Nothing senses motor supply '{unsensed.Name}'. Switch it off, lock it out, and say so with --motor-is-off.");
        return (words.Count > 0 ? new(name, true, string.Join(", ", words)) : new(name, true, "no supply is sensed; the operator answers for them", Made: false), null);
    }

    private static Seen SupplySeen(Supply supply, LevelReading reading)
    {
        var (lowest, highest) = (reading.Mean.Value - reading.Guard.Value, reading.Mean.Value + reading.Guard.Value);
        var outcome = highest <= supply.Nominal.Value * OffBelow ? SupplyOutcome.SurelyOff
            : highest < supply.Minimum.Value ? SupplyOutcome.SurelyTooLow
            : lowest > supply.Maximum.Value ? SupplyOutcome.SurelyTooHigh
            : SupplyOutcome.NotSurelyWrong;
        return new(Sight.Beside(supply.Name, SightKind.Supply), (int)outcome);
    }

    private void See(string point, SightKind kind, Level level) => _seen.Add(new(Sight.Beside(point, kind), (int)level));

    /// <summary>
    /// What a supply that is not there may be. Between off and its minimum something else holds it up: another supply through the board, or the adapter and its
    /// pull-ups through the inputs of parts, which such currents can damage.
    /// </summary>
    private string Instead(Supply supply, double volts, double guard)
    {
        var off = supply.Nominal.Value * OffBelow;
        if (volts - guard > off && volts < supply.Nominal.Value)
            return $"That is neither off nor on: the supply is weak or its fuse is half dead, or it is off and the board is fed backwards, through a lead or from another supply. Unclip the leads, measure it, switch the board on before the leads are connected to a live adapter, and check the lead at {supply.SensedAt!.Name}.";
        var fed = board.Channels.Where(channel => channel.Line.Idle == Level.High && channel.Stages[0].Part.InputSupply == supply)
            .Select(channel => $"'{channel.Line.Name}'").Distinct().ToList();
        var feeding = fed.Count > 0 && volts < off
            ? $" The adapter would hold {(fed.Count == 1 ? "line" : "lines")} {string.Join(", ", fed)} high and feed the board through the inputs there: it is not armed while this supply is off."
            : "";
        return $"Check that it is switched on, its fuse, and the lead at {supply.SensedAt!.Name}.{feeding}";
    }

    /// <summary>
    /// Whether the board's own controller is out of the way, as far as a test point tells. Its outputs cannot tell: one that holds a line idle looks the same as
    /// the line's pull-up, and to load the line in order to see the difference would be a command.
    /// </summary>
    public async Task<(CheckDone Check, SweepEnding? Ending)> ControllerAsync(CancellationToken cancellation)
    {
        const string name = "controller";
        var controller = board.Controller!;
        if (controller is not { SensedAt: { AdapterPin: { } pin } point, Is: { } disabled })
            return (new(name, true, $"nothing senses it; the operator answers for it: {controller.DisabledBy}", Made: false), null);
        var inputs = await adapter.ReadInputsAsync(cancellation);
        See(point.Name, SightKind.Released, inputs[pin]);
        return inputs[pin] == disabled
            ? (new(name, true, $"disabled ({point.Name} is {disabled.Word()})"), null)
            : Safety(name, $"The board's own controller is not disabled: {point.Name} is {inputs[pin].Word()}, and should be {disabled.Word()}. Nothing was driven, since two drivers on one line damage each other. Disable it: {controller.DisabledBy}; or check the lead at {point.Name}.");
    }

    /// <summary>An open lead may read as anything, so what it said of the controller before arming does not count.</summary>
    public (CheckDone Check, SweepEnding? Ending)? ControllerLead(ImmutableDictionary<string, LeadState> leads) =>
        board.Controller is { SensedAt: { } point } && leads.GetValueOrDefault(point.Name) == LeadState.Follows
            ? Safety("controller lead", $"The lead at {point.Name} is open, or nothing drives its net: it does not tell that the board's own controller is disabled. Check the lead; no line has been on.")
            : null;

    /// <summary>
    /// Where only this computer enforces the limits, motion asks for more than the operator's word: every line that moves something has a stop input, and is not
    /// commanded by being armed. Null when that is so.
    /// </summary>
    private string? HostCannotMove()
    {
        var moving = board.Lines.Where(line => line.Motion).ToList();
        var unstopped = moving.Where(line => !board.Stops.Any(stop => stop.Point.AdapterPin is not null && stop.Lines.Contains(line))).ToList();
        if (unstopped.Count > 0)
        {
            return $"{Listed(unstopped)} {(unstopped.Count == 1 ? "has" : "have")} no stop input wired to the adapter. This adapter's limits are enforced by this computer only, so motion needs one for every line that moves (stops: in the profile); --no-stop-input does not do here. Or use an adapter with our own firmware (--adapter serial:PORT).";
        }
        var armedLow = moving.Where(line => line.Idle == Level.High).ToList();
        return armedLow.Count > 0 && !adapter.Identity.ArmsHighCleanly
            ? $"{Listed(armedLow)} {(armedLow.Count == 1 ? "idles" : "idle")} high, and this adapter cannot make a pin an output without a moment at low, which is a command. Sweep logic-only, or use an adapter with our own firmware (--adapter serial:PORT)."
            : null;
    }

    /// <summary>With nothing driven, every line must sit at its idle level; otherwise its lead is open, or something else drives it.</summary>
    public async Task<(CheckDone Check, SweepEnding? Ending)> LinesReleasedAsync(CancellationToken cancellation)
    {
        const string name = "lines released";
        var inputs = await adapter.ReadInputsAsync(cancellation);
        foreach (var line in board.Lines)
            See(line.Name, SightKind.Released, inputs[line.AdapterPin]);
        var held = board.Lines.Where(line => inputs[line.AdapterPin] != line.Idle).ToList();
        return held.Count > 0
            ? Safety(name, $"{Listed(held)} {(held.Count == 1 ? "does" : "do")} not idle {held[0].Idle.Word()} though nothing is driven yet. Either the lead from adapter pin {held[0].AdapterPin} to the board is open, or something else drives the line: unplug the board's own controller, since two drivers on one line damage each other.")
            : (new(name, true, board.Lines.Length == 1 ? "the one line idles by itself" : $"all {board.Lines.Length} idle by themselves"), null);
    }

    /// <summary>With a stop that forbids every line, as an emergency stop does, there is nothing to be done: it ends the sweep here. A limit switch leaves its own channel out.</summary>
    public async Task<(CheckDone Check, SweepEnding? Ending)> StopInputsAsync(CancellationToken cancellation)
    {
        const string name = "stop inputs";
        var watched = board.Stops.Where(stop => stop.Point.AdapterPin is not null).ToList();
        if (watched.Count == 0)
            return (new(name, true, "the profile names none", Made: false), null);
        var inputs = await adapter.ReadInputsAsync(cancellation);
        foreach (var stop in watched)
            See(stop.Point.Name, SightKind.Released, inputs[stop.Point.AdapterPin!]);
        var active = watched.Where(stop => inputs[stop.Point.AdapterPin!] == stop.StopsAt).ToList();
        if (active.Find(stop => stop.Lines.Length == board.Lines.Length) is { } all)
            return Safety(name, $"{all.Point.Name} is {all.StopsAt.Word()}, which stops every line. Nothing was driven. Release it when the cause is known, or check its lead.");
        return active.Count == 0
            ? (new(name, true, watched.Count == 1 ? $"{watched[0].Point.Name} is free" : $"all {watched.Count} free"), null)
            : (new(name, false, string.Join("; ", active.Select(stop => $"{stop.Point.Name} is {stop.StopsAt.Word()}, which forbids {string.Join(", ", stop.Lines.Select(line => line.Name))}"))), null);
    }

    /// <summary>A device discharges no pin that could be a line, declared or not, and none that leads to its converter alone.</summary>
    public ImmutableHashSet<string> CheckablePins { get; } =
        [.. adapter.Pins.Where(pin => pin.CanCheckLead).Select(pin => pin.Name).Except(board.Lines.Select(line => line.AdapterPin))];

    public async Task<(ImmutableDictionary<string, LeadState> Leads, CheckDone Check)> CheckLeadsAsync(CancellationToken cancellation)
    {
        var lines = board.Lines.Select(line => line.AdapterPin).ToHashSet();
        var checkable = CheckablePins;
        var leads = ImmutableDictionary.CreateBuilder<string, LeadState>();
        var asked = 0;
        var leftOut = options.Mode == ExerciseMode.Motion
            ? board.TestPoints.Where(point => checkable.Contains(point.AdapterPin ?? "") && LeadCheckHazard.Commands(board, point) is not null).Select(point => point.Name).ToHashSet()
            : [];
        foreach (var selection in view.Selections)
        {
            await view.ShowAsync(selection, cancellation);
            var direct = selection.Points
                .Where(point => point.Divider is null && checkable.Contains(point.AdapterPin!) && !leads.ContainsKey(point.Name) && !leftOut.Contains(point.Name))
                .ToImmutableDictionary(point => point.AdapterPin!, point => point.Name);
            asked += direct.Count;
            var readings = await adapter.CheckLeadsAsync([.. direct.Keys], cancellation);
            leads.AddRange(readings.Select(reading => KeyValuePair.Create(direct[reading.Pin], reading.Follows ? LeadState.Follows : LeadState.Driven)));
        }
        foreach (var (point, lead) in leads)
            _seen.Add(new(Sight.Beside(point, SightKind.Lead), lead == LeadState.Follows ? ChannelSights.FollowingLead : 0));
        var read = leads.Count;
        // Lines are not discharged: that would be a command. They idled by themselves before they were driven, so their leads are whole.
        foreach (var point in board.Channels.Select(channel => channel.DrivenAt.Name))
            leads[point] = LeadState.Driven;
        var open = leads.Where(lead => lead.Value == LeadState.Follows).Select(lead => lead.Key).Order(StringComparer.Ordinal).ToList();
        var behind = board.TestPoints.Count(point => point.AdapterPin is not null && point.Divider is not null);
        var beyond = board.TestPoints.Count(point => point is { AdapterPin: not null, Divider: null } && !lines.Contains(point.AdapterPin) && !checkable.Contains(point.AdapterPin));
        var untold = (behind > 0 ? $"; {behind} behind dividers cannot be told" : "")
            + (beyond > 0 ? $"; {beyond} at adapter pins that cannot be checked" : "")
            + (leftOut.Count > 0 ? $"; {leftOut.Count} on nets that command motion are left to a logic-only sweep" : "")
            + (asked > read ? $"; {asked - read} cannot be told by this adapter, whose pins there have no pull-up" : "");
        if (asked > 0 && read == 0)
            return (leads.ToImmutable(), new("leads", true, $"none of {asked} can be told by this adapter, whose pins have no pull-up: check the clips by eye", Made: false));
        return (leads.ToImmutable(), open.Count > 0
            ? new("leads", false, $"open lead or undriven net at {string.Join(", ", open)}{untold}")
            : new("leads", true, $"{read} driven{untold}"));
    }

    public async Task<(CheckDone Check, SweepEnding? Ending)> IdleLevelsAsync(CancellationToken cancellation)
    {
        const string name = "idle levels";
        var expected = board.Channels
            .SelectMany(channel => channel.Stages.Select((stage, index) => (Name: stage.OutputName, Level: channel.LevelAfter(index, channel.Line.Idle))))
            .DistinctBy(output => output.Name)
            .ToDictionary(output => output.Name, output => output.Level);
        var wrong = new List<string>();
        foreach (var selection in view.Selections)
        {
            await view.ShowAsync(selection, cancellation);
            var inputs = await adapter.ReadInputsAsync(cancellation);
            foreach (var point in selection.Points)
            {
                // Each is looked at once, where it is seen first.
                if (!expected.Remove(point.Name, out var level))
                    continue;
                See(point.Name, SightKind.Idle, inputs[point.AdapterPin!]);
                if (inputs[point.AdapterPin!] != level)
                    wrong.Add($"{point.Name} is {inputs[point.AdapterPin!].Word()}, should be {level.Word()}");
            }
        }
        if (wrong.Count == 0)
            return (new(name, true, "all as they should be"), null);
        var words = string.Join("; ", wrong);
        return options.Mode == ExerciseMode.Motion
            ? Safety(name, $"{words}. Part of a channel acts as if it were commanded: with the motor supply on, something may move by itself. Sweep logic-only first.")
            : (new(name, false, words), null);
    }

    public async Task<(CheckDone Check, SweepEnding? Ending)> QuietAgainAsync(CancellationToken cancellation)
    {
        const string name = "quiet again";
        var inputs = await adapter.ReadInputsAsync(cancellation);
        var active = board.Lines.Where(line => inputs[line.AdapterPin] != line.Idle).ToList();
        return active.Count > 0
            ? Safety(name, $"{Listed(active)} {(active.Count == 1 ? "is" : "are")} not idle afterwards: switch the board off.")
            : (new(name, true, adapter.Identity.ReadsLinesBack ? "all lines idle" : "all lines were told to go idle; this adapter does not read them back"), null);
    }

    private static string Listed(List<Line> lines) =>
        $"{(lines.Count == 1 ? "Line" : "Lines")} {string.Join(", ", lines.Select(line => $"'{line.Name}'"))}";

    private static (CheckDone Check, SweepEnding? Ending) Safety(string name, string words) =>
        (new(name, false, words), new(SweepOutcome.StoppedForSafety, words));

    private static (CheckDone Check, SweepEnding? Ending) NotReady(string name, string words) =>
        (new(name, false, words), new(SweepOutcome.NotReady, words));
}
