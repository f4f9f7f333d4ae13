using System.Diagnostics;
using System.Globalization;
using Spectre.Console;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;

namespace TestRig.Commands;

/// <summary>Shows a soak: a live table in a terminal, plain lines elsewhere; then what it found.</summary>
internal sealed class SoakView(TextScreen screen, SweepView sweeps, SoakOptions options)
{
    /// <summary>More often than that nobody reads.</summary>
    private static readonly TimeSpan _redraw = TimeSpan.FromMilliseconds(500);

    /// <summary>Failing cycles that are told one by one, in plain lines; the record has all.</summary>
    private const int MostTold = 20;

    private readonly Stopwatch _sinceDrawn = Stopwatch.StartNew();
    private CycleDone? _latest;
    private string _state = "";
    private long _told;
    private long _nextProgress = 1;

    /// <summary>What it will do and take, before anything is driven.</summary>
    public void Begin(Board board, RunHeading run, IRunStore store, long cyclesBefore)
    {
        screen.Say("Board    ", $"{board.Name}: {Words.Count(board.Channels.Length, "channel")}, {(options.WatchIdle ? "watched while idle" : Words.Of(run.Mode))}");
        screen.Say("Run      ", cyclesBefore == 0 ? run.Id : $"{run.Id}, resumed after {SoakWords.Cycles(cyclesBefore)}");
        var length = options.Cycles is { } cycles ? SoakWords.Cycles(cycles) : SoakWords.Hours(options.For!.Value.TotalHours);
        var until = options.StopAfterFailures is { } failures ? $", or {failures} failing {(failures == 1 ? "cycle" : "cycles")}" : "";
        screen.Say("Until    ", $"{length}{until}, a stop input, or Ctrl-C (once: the cycle is finished; twice: at once)");
        screen.Say("Disk     ", $"at most {SoakWords.Bytes(options.DiskBudget)} (--disk), in {store.Place}; captures of failing cycles, of {options.Before} before each, of the first, the last and a sample");
        screen.Say();
    }

    public async Task<SoakResult> FollowAsync(Func<IProgress<SoakEvent>, Task<SoakResult>> run)
    {
        if (!screen.IsLive)
            return await run(new ToldAtOnce<SoakEvent>(PlainLine));
        var result = await screen.Console.Live(new Text("Preparing ..."))
            .AutoClear(true)
            .Overflow(VerticalOverflow.Crop)
            .Cropping(VerticalOverflowCropping.Bottom)
            .StartAsync(context => run(new ToldAtOnce<SoakEvent>(step =>
            {
                if (!See(step) && _sinceDrawn.Elapsed < _redraw)
                    return;
                _sinceDrawn.Restart();
                if (_latest is { } latest)
                    context.UpdateTarget(new Rows(new Text(Line(latest)), Table(latest.Tally), new Text(SoakWords.ProofSoFar(latest.Tally)), new Text(_state)));
                context.Refresh();
            })));
        if (_latest is { } last)
        {
            screen.Say(Line(last));
            screen.Show(Table(last.Tally));
        }
        return result;
    }

    /// <returns>True of what is to be seen at once.</returns>
    private bool See(SoakEvent step)
    {
        switch (step)
        {
            case CycleDone done:
                _latest = done;
                _state = "";
                return false;
            case AdapterFound found:
                _state = $"Adapter: {Words.Adapter(found.Adapter)}, resolution {found.Adapter.Resolution}";
                return true;
            case AdapterGone gone:
                _state = $"ADAPTER GONE: {gone.Words}";
                return true;
            case AdapterAwaited awaited:
                _state = Awaited(awaited);
                return true;
            case PausedFor paused:
                _state = Paused(paused);
                return true;
            default:
                return false;
        }
    }

    private void PlainLine(SoakEvent step)
    {
        switch (step)
        {
            case CycleDone done:
                _latest = done;
                TellCycle(done);
                break;
            case AdapterFound found:
                screen.Say("adapter  ", $"{Words.Adapter(found.Adapter)}, resolution {found.Adapter.Resolution}");
                break;
            case AdapterGone gone:
                screen.Say("GONE     ", gone.Words);
                break;
            case AdapterAwaited awaited:
                screen.Say("waiting  ", Awaited(awaited));
                break;
            case PausedFor paused:
                screen.Say("paused   ", Paused(paused));
                break;
            default:
                break;
        }
    }

    private static string Awaited(AdapterAwaited awaited) =>
        string.Create(CultureInfo.InvariantCulture, $"looked for the adapter {awaited.Attempt} time{(awaited.Attempt == 1 ? "" : "s")}, again in {awaited.Next.TotalSeconds:0} s. {awaited.Words}");

    private static string Paused(PausedFor paused) => string.Create(CultureInfo.InvariantCulture, $"nothing is driven: {paused.Words} Looked at again in {paused.Pause.TotalSeconds:0} s.");

    private void TellCycle(CycleDone done)
    {
        if (done.Cycle.Failed && _told++ < MostTold)
        {
            var failing = done.Cycle.Channels.Where(channel => channel.Failed).Select(channel => $"{channel.Channel}: {Words.Of(channel.Condition).ToUpperInvariant()}. {channel.Summary}").Concat(done.Cycle.Checks);
            screen.Say("failing  ", $"cycle {SoakWords.Number(done.Cycle.Number)} at {done.Cycle.Started.ToString("HH:mm:ss", CultureInfo.InvariantCulture)}, {string.Join(" ", failing)}");
            if (_told == MostTold)
                screen.Say("failing  ", "further ones are counted, and stored, but not told one by one");
        }
        if (done.Tally.Cycles < _nextProgress)
            return;
        while (_nextProgress <= done.Tally.Cycles)
            _nextProgress = _nextProgress < 1000 ? _nextProgress * 10 : _nextProgress + 1000;
        screen.Say("progress ", Line(done));
    }

    private string Line(CycleDone done)
    {
        var tally = done.Tally;
        var rate = tally.Cycles / Math.Max(tally.Exercised.TotalSeconds, 1e-9);
        var left = options.Cycles is { } cycles ? $"{SoakWords.Hours((cycles - tally.Cycles) / rate / 3600)} left"
            : $"{SoakWords.Hours(Math.Max(0, options.For!.Value.TotalHours - tally.Exercised.TotalHours))} left";
        return $"{SoakWords.Cycles(tally.Cycles)}, {SoakWords.Number(tally.FailingCycles)} failing, {rate.ToString("0.##", CultureInfo.InvariantCulture)} a second; {left}; {SoakWords.Bytes(done.DiskBytes)} of disk";
    }

    private static Table Table(SoakTally tally)
    {
        var table = new Table().Border(TableBorder.Simple).Expand();
        table.AddColumn(new TableColumn("Channel").NoWrap());
        table.AddColumn(new TableColumn("Failing").RightAligned().NoWrap());
        table.AddColumn(new TableColumn("Untested").RightAligned().NoWrap());
        table.AddColumn(new TableColumn("Worst, of its limit").NoWrap());
        table.AddColumn("Drift");
        var drifts = Drift.Of(tally);
        foreach (var channel in tally.Channels)
        {
            var drift = drifts.FirstOrDefault(known => known.Series.Key.Channel == channel.Channel);
            table.AddRow(
                new Text(channel.Channel),
                new Text(SoakWords.Failing(channel), channel.Failures == 0 ? Style.Plain : new Style(decoration: Decoration.Bold | Decoration.Invert)),
                new Text(SoakWords.Number(channel.NotTested)),
                new Text(Worst([.. tally.Series.Where(series => series.Key.Channel == channel.Channel)])),
                new Text(drift is null ? "none" : $"{drift.Series.Key.TestPoint} {SoakWords.Rate(drift)}"));
        }
        return table;
    }

    /// <summary>The worst delay with its share of the limit; what else is nearer to its own limit stands below it.</summary>
    private static string Worst(IReadOnlyList<SeriesTally> series)
    {
        SeriesTally? Nearest(Func<SeriesTally, bool> among) => series.Where(each => each.Strain is not null && among(each)).MaxBy(each => each.Strain);
        var delay = Nearest(each => each.Key.Kind == FigureKind.Delay);
        var other = Nearest(each => each.Key.Kind != FigureKind.Delay && !(each.Strain <= delay?.Strain));
        return string.Join('\n', new[] { delay, other }.OfType<SeriesTally>().Select(each => string.Create(CultureInfo.InvariantCulture, $"{each.Key.TestPoint} {SoakWords.Value(each.Key.Kind, each.Worst)} {each.Strain * 100:0} %")));
    }

    /// <summary>What it found. The record is made afterwards: that may fail.</summary>
    public void Found(SoakResult result)
    {
        screen.Say();
        if (result.Ending.Words.Length > 0)
            screen.Say(result.Ending.Outcome is SoakOutcome.Complete or SoakOutcome.EnoughFailures ? "Ended    " : "STOPPED  ", result.Ending.Words);
        new FindingsView(screen, sweeps).Tell(result);
        screen.Say("Verdict  ", SoakWords.Verdict(result));
    }

    /// <param name="folder">Null when it does not hold the whole record.</param>
    /// <param name="again">Options that a resumed run needs once more.</param>
    public void Kept(SoakResult result, RunFolder? folder, string again)
    {
        screen.Say("Run      ", $"{result.Run.Id}{(CanBeResumed(result.Ending.Outcome) ? $"; go on with: testrig soak {result.Run.Profile.Path} --resume {result.Run.Id}{again}" : "")}");
        if (folder is not null)
            screen.Say("Record   ", $"{SweepView.PathToShow(folder.Path)} ({RecordFolder.OfSoak})");
    }

    private static bool CanBeResumed(SoakOutcome outcome) => outcome is SoakOutcome.Cancelled or SoakOutcome.AdapterFailed or SoakOutcome.StoppedForSafety or SoakOutcome.StoreFailed;
}
