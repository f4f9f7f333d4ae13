using System.Collections.Immutable;
using TestRig.Bench.Exercising;
using TestRig.Core.Judging;

namespace TestRig.Bench.Storage;

/// <summary>
/// Cycles of a run. What most cycles have alike is kept once: which channels there are, in which order (a roster), and what each figure measures, with its limits (a series). Channels have rows only where they do not work.
/// </summary>
internal static class CycleRows
{
    public static async Task AddAsync(StoreLink link, long run, int session, CycleRecord cycle)
    {
        var roster = await RosterAsync(link, run, [.. cycle.Channels.Select(channel => channel.Channel)]);
        var series = await SeriesAsync(link, run, cycle.Figures);
        await link.ExecuteAsync(
            """
            insert into cycle (run_key, number, session, started_ticks, started_offset, took_ticks, outcome, words, roster, figures)
            values (@Run, @Number, @Session, @Ticks, @Offset, @Took, @Outcome, @Words, @Roster, @Figures)
            """,
            new
            {
                Run = run,
                cycle.Number,
                Session = (long)session,
                Ticks = cycle.Started.UtcTicks,
                Offset = StoredInstant.Offset(cycle.Started),
                Took = cycle.Took.Ticks,
                Outcome = cycle.Outcome.ToString(),
                cycle.Words,
                Roster = roster,
                Figures = FigurePack.Pack([.. cycle.Figures.Select(figure => (series[figure.Key], figure.Value)).OrderBy(figure => figure.Item1)]),
            });
        for (var position = 0; position < cycle.Channels.Length; position++)
        {
            var channel = cycle.Channels[position];
            if (channel.Condition == Condition.Working && channel.Summary is null)
                continue;
            await link.ExecuteAsync(
                "insert into cycle_channel (run_key, cycle, position, condition, summary) values (@Run, @Number, @Position, @Condition, @Summary)",
                new { Run = run, cycle.Number, Position = (long)position, Condition = channel.Condition.ToString(), channel.Summary });
        }
        for (var position = 0; position < cycle.Checks.Length; position++)
        {
            await link.ExecuteAsync(
                "insert into cycle_check (run_key, cycle, position, words) values (@Run, @Number, @Position, @Words)",
                new { Run = run, cycle.Number, Position = (long)position, Words = cycle.Checks[position] });
        }
    }

    /// <summary>At most <paramref name="most"/> cycles from a number on, in order; fewer only where there are no more.</summary>
    public static async Task<List<CycleRecord>> PageAsync(StoreLink link, long run, long from, int most)
    {
        var values = new { Run = run, From = from, Behind = checked(from + most) };
        var cycles = await link.RowsAsync<CycleRow>(
            $"""
            select
                number as {nameof(CycleRow.Number)}, started_ticks as {nameof(CycleRow.StartedTicks)}, started_offset as {nameof(CycleRow.StartedOffset)}, took_ticks as {nameof(CycleRow.TookTicks)},
                outcome as {nameof(CycleRow.Outcome)}, words as {nameof(CycleRow.Words)}, roster as {nameof(CycleRow.Roster)}, figures as {nameof(CycleRow.Figures)}
            from cycle where run_key = @Run and number >= @From and number < @Behind order by number
            """,
            values);
        var notWorking = (await link.RowsAsync<ChannelRow>(
            $"""
            select cycle as {nameof(ChannelRow.Cycle)}, position as {nameof(ChannelRow.Position)}, condition as {nameof(ChannelRow.Condition)}, summary as {nameof(ChannelRow.Summary)}
            from cycle_channel where run_key = @Run and cycle >= @From and cycle < @Behind
            """,
            values)).ToDictionary(channel => (channel.Cycle, channel.Position));
        var checks = (await link.RowsAsync<CheckRow>(
            $"""
            select cycle as {nameof(CheckRow.Cycle)}, words as {nameof(CheckRow.Words)}
            from cycle_check where run_key = @Run and cycle >= @From and cycle < @Behind order by cycle, position
            """,
            values)).ToLookup(check => check.Cycle, check => check.Words);
        var rosters = await RostersAsync(link, run);
        var series = (await AllSeriesAsync(link, run)).ConvertAll(row => (Key: KeyOf(row), row.Lowest, row.Highest));
        return cycles.ConvertAll(cycle => new CycleRecord(
            cycle.Number, StoredInstant.Of(cycle.StartedTicks, cycle.StartedOffset), new(cycle.TookTicks), StoredWord.Read<SweepOutcome>(cycle.Outcome), cycle.Words,
            [.. rosters[cycle.Roster].Select((channel, position) => ChannelOf(channel, notWorking.GetValueOrDefault((cycle.Number, position))))],
            [.. checks[cycle.Number]],
            [.. FigurePack.Unpack(cycle.Figures).Select(figure => FigureOf(figure.Series, figure.Value))]));

        CycleFigure FigureOf(int number, long value) => number < series.Count
            ? new(series[number].Key, value, series[number].Lowest, series[number].Highest)
            : throw new InvalidDataException("a cycle has a figure of no series");
    }

    public static async Task<IReadOnlyList<ChannelFailures>> FailuresAsync(StoreLink link, long run)
    {
        var rows = await link.RowsAsync<FailureRow>(
            $"""
            select roster.channel as {nameof(FailureRow.Channel)}, cycle_channel.condition as {nameof(FailureRow.Condition)}, count(*) as {nameof(FailureRow.Cycles)}
            from cycle_channel
            join cycle on cycle.run_key = cycle_channel.run_key and cycle.number = cycle_channel.cycle
            join roster on roster.run_key = cycle.run_key and roster.number = cycle.roster and roster.position = cycle_channel.position
            where cycle_channel.run_key = @Run group by roster.channel, cycle_channel.condition
            """,
            new { Run = run });
        return [.. rows.Select(row => new ChannelFailures(row.Channel, StoredWord.Read<Condition>(row.Condition), row.Cycles))
            .Where(row => row.Condition is not (Condition.Working or Condition.NotTested))
            .OrderBy(row => row.Channel, StringComparer.Ordinal).ThenByDescending(row => row.Cycles).ThenBy(row => row.Condition)];
    }

    private static CycleChannel ChannelOf(string channel, ChannelRow? notWorking) =>
        notWorking is null ? new(channel, Condition.Working, null) : new(channel, StoredWord.Read<Condition>(notWorking.Condition), notWorking.Summary);

    /// <summary>The number of the roster that has these channels in this order, which is added where it is new.</summary>
    private static async Task<long> RosterAsync(StoreLink link, long run, ImmutableArray<string> channels)
    {
        var rosters = await RostersAsync(link, run);
        if (rosters.FirstOrDefault(roster => roster.Value.SequenceEqual(channels)) is { Value: not null } known)
            return known.Key;
        // The roster of no channels has number 0 and no row.
        var number = rosters.Count;
        for (var position = 0; position < channels.Length; position++)
        {
            await link.ExecuteAsync(
                "insert into roster (run_key, number, position, channel) values (@Run, @Number, @Position, @Channel)",
                new { Run = run, Number = (long)number, Position = (long)position, Channel = channels[position] });
        }
        return number;
    }

    private static async Task<Dictionary<long, List<string>>> RostersAsync(StoreLink link, long run)
    {
        var rows = await link.RowsAsync<RosterRow>(
            $"select number as {nameof(RosterRow.Number)}, channel as {nameof(RosterRow.Channel)} from roster where run_key = @Run order by number, position", new { Run = run });
        var rosters = rows.GroupBy(row => row.Number).ToDictionary(roster => roster.Key, roster => roster.Select(row => row.Channel).ToList());
        rosters.Add(0, []);
        return rosters;
    }

    /// <summary>The number of each of the figures' series; those that are new are added with the limits of their figure.</summary>
    private static async Task<Dictionary<FigureKey, int>> SeriesAsync(StoreLink link, long run, ImmutableArray<CycleFigure> figures)
    {
        var numbers = (await AllSeriesAsync(link, run)).Select((row, number) => (Key: KeyOf(row), Number: number)).ToDictionary(series => series.Key, series => series.Number);
        foreach (var figure in figures.Where(figure => !numbers.ContainsKey(figure.Key)).ToList())
        {
            await link.ExecuteAsync(
                """
                insert into series (run_key, number, channel, test_point, expected, kind, lowest, highest)
                values (@Run, @Number, @Channel, @TestPoint, @Expected, @Kind, @Lowest, @Highest)
                """,
                new
                {
                    Run = run,
                    Number = (long)numbers.Count,
                    figure.Key.Channel,
                    figure.Key.TestPoint,
                    Expected = figure.Key.Expected.ToString(),
                    Kind = figure.Key.Kind.ToString(),
                    figure.Lowest,
                    figure.Highest,
                });
            numbers.Add(figure.Key, numbers.Count);
        }
        return numbers;
    }

    /// <summary>By number: the first is 0, and none is missing.</summary>
    private static Task<List<SeriesRow>> AllSeriesAsync(StoreLink link, long run) => link.RowsAsync<SeriesRow>(
        $"""
        select
            channel as {nameof(SeriesRow.Channel)}, test_point as {nameof(SeriesRow.TestPoint)}, expected as {nameof(SeriesRow.Expected)}, kind as {nameof(SeriesRow.Kind)},
            lowest as {nameof(SeriesRow.Lowest)}, highest as {nameof(SeriesRow.Highest)}
        from series where run_key = @Run order by number
        """,
        new { Run = run });

    private static FigureKey KeyOf(SeriesRow row) => new(row.Channel, row.TestPoint, StoredWord.Read<Expectation>(row.Expected), StoredWord.Read<FigureKind>(row.Kind));

    private sealed class FailureRow
    {
        public string Channel { get; init; } = "";

        public string Condition { get; init; } = "";

        public long Cycles { get; init; }
    }

    private sealed class CycleRow
    {
        public long Number { get; init; }

        public long StartedTicks { get; init; }

        public long StartedOffset { get; init; }

        public long TookTicks { get; init; }

        public string Outcome { get; init; } = "";

        public string Words { get; init; } = "";

        public long Roster { get; init; }

        public byte[] Figures { get; init; } = [];
    }

    private sealed class ChannelRow
    {
        public long Cycle { get; init; }

        public long Position { get; init; }

        public string Condition { get; init; } = "";

        public string? Summary { get; init; }
    }

    private sealed class CheckRow
    {
        public long Cycle { get; init; }

        public string Words { get; init; } = "";
    }

    private sealed class RosterRow
    {
        public long Number { get; init; }

        public string Channel { get; init; } = "";
    }

    private sealed class SeriesRow
    {
        public string Channel { get; init; } = "";

        public string TestPoint { get; init; } = "";

        public string Expected { get; init; } = "";

        public string Kind { get; init; } = "";

        public long? Lowest { get; init; }

        public long? Highest { get; init; }
    }
}
