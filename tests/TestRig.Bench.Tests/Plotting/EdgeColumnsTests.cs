using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using TestRig.Bench.Plotting;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Plotting;

public class EdgeColumnsTests
{
    [Property(MaxTest = 300)]
    public Property Every_change_in_the_view_is_in_the_column_that_covers_it()
    {
        return Prop.ForAll(Cases(), c =>
        {
            var divided = EdgeColumns.Divide(c.Changes, c.From, c.To, c.Columns);
            var seen = 0;
            for (var column = 0; column < c.Columns; column++)
            {
                var left = EdgeColumns.LeftEdge(c.From, c.To, column, c.Columns);
                var right = EdgeColumns.LeftEdge(c.From, c.To, column + 1, c.Columns);
                for (var i = 0; i < divided.ChangesIn(column); i++)
                {
                    var at = c.Changes[divided.FirstIn(column) + i].Estimate;
                    Assert.True(left <= at && (at < right || (column == c.Columns - 1 && at == right)));
                }
                seen += divided.ChangesIn(column);
            }
            Assert.Equal(c.Changes.Count(change => c.From <= change.Estimate && change.Estimate <= c.To), seen);
        });
    }

    [Property(MaxTest = 300)]
    public Property A_pulse_narrower_than_a_column_is_never_hidden()
    {
        return Prop.ForAll(Cases(), c =>
        {
            var divided = EdgeColumns.Divide(c.Changes, c.From, c.To, c.Columns);
            // The narrowest column; they differ by a picosecond.
            var narrow = new Duration((c.To - c.From).Picoseconds / c.Columns);
            for (var i = 0; i + 1 < c.Changes.Length; i++)
            {
                var (rise, fall) = (c.Changes[i].Estimate, c.Changes[i + 1].Estimate);
                if (rise < c.From || fall > c.To || fall - rise >= narrow)
                    continue;
                var column = Enumerable.Range(0, c.Columns).First(column => divided.FirstIn(column) + divided.ChangesIn(column) > i);
                Assert.True(divided.HidesPulse(column), $"the pulse at {rise} is not marked in column {column}");
            }
        });
    }

    [Fact]
    public void A_lone_edge_is_not_marked_as_a_pulse()
    {
        var divided = EdgeColumns.Divide([new(new(500), new(500), Level.High)], Instant.Start, new(1_000), 10);
        Assert.Equal(1, divided.ChangesIn(5));
        Assert.DoesNotContain(Enumerable.Range(0, 10), divided.HidesPulse);
    }

    [Fact]
    public void The_range_of_instants_is_not_left()
    {
        // 106 days in picoseconds, times 1600 columns, leaves 64 bits.
        var end = new Instant(long.MaxValue - 1);
        var divided = EdgeColumns.Divide([new(end, end, Level.High)], Instant.Start, end, 1600);
        Assert.Equal(1, divided.ChangesIn(1599));
    }

    [Fact]
    public void A_view_without_length_is_refused()
    {
        Assert.Throws<ArgumentException>(() => EdgeColumns.Divide([], new(5), new(5), 10));
        Assert.Throws<ArgumentOutOfRangeException>(() => EdgeColumns.Divide([], new(5), new(6), 0));
    }

    private static Arbitrary<Case> Cases()
    {
        var cases =
            from seed in Gen.Choose(0, int.MaxValue)
            from count in Gen.Elements(0, 1, 2, 17, 400)
            from columns in Gen.Elements(1, 2, 7, 100)
            from longest in Gen.Elements(1, 3, 50, 5_000)
            select Build(seed, count, columns, longest);
        return cases.ToArbitrary();
    }

    private static Case Build(int seed, int count, int columns, int longest)
    {
        var random = new Random(seed);
        var changes = new Change[count];
        var at = 0L;
        for (var i = 0; i < count; i++)
        {
            // Now and then a long pause, so that empty and crowded columns both occur.
            at += random.Next(10) == 0 ? random.Next(1, 40 * longest) : random.Next(1, longest + 1);
            changes[i] = new(new(at), new(at + random.Next(0, 2)), i % 2 == 0 ? Level.High : Level.Low);
        }
        var from = new Instant(random.NextInt64(0, (at / 2) + 1));
        var to = from + new Duration(random.NextInt64(1, at + 2));
        return new(changes, from, to, columns);
    }

    private sealed record Case(Change[] Changes, Instant From, Instant To, int Columns);
}
