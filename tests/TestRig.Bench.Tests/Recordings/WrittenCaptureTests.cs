using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Files;
using TestRig.Bench.Recordings;
using TestRig.Bench.Tests.Files;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Recordings;

/// <summary>What our own writer makes of a capture comes back as it was.</summary>
public class WrittenCaptureTests
{
    [Fact]
    public void Both_readers_see_the_same_in_whatever_is_written()
    {
        for (var seed = 0; seed < 300; seed++)
        {
            var text = CaptureVcd.Write(new("Card $end", "left", "adapter", DateTimeOffset.UnixEpoch, "0.1.0"), Some(new Random(seed)), exercise: null);
            var (known, values) = (VcdReading.Of(text), new Dictionary<int, List<(long, string)>>());
            using var reader = DumpText.Reader(text);
            foreach (var words in DumpText.Events(reader).Select(told => told.Split(' ')))
            {
                var code = int.Parse(words[1], CultureInfo.InvariantCulture);
                if (!values.TryGetValue(code, out var told))
                    values[code] = told = [];
                told.Add((long.Parse(words[0], CultureInfo.InvariantCulture), words[2]));
            }
            Assert.Equal((ulong)known.LastTime, reader.Time);
            Assert.Equal(known.Variables.Count, reader.Header.Variables.Length);
            foreach (var variable in reader.Header.Variables)
                Assert.Equal(known[variable.Scope.Replace(".volts", "/volts", StringComparison.Ordinal), variable.Name].Values, values.GetValueOrDefault(variable.Code, []));
        }
    }

    /// <summary>Each signal through the history that exercises are cut from: levels, changes at their looks, and the gaps in which nothing was known.</summary>
    [Fact]
    public void Levels_changes_and_gaps_of_a_capture_come_back()
    {
        for (var seed = 0; seed < 300; seed++)
        {
            var capture = Some(new Random(seed)) with { Levels = [], Gaps = [] };
            var text = CaptureVcd.Write(new("Card", "left", "adapter", DateTimeOffset.UnixEpoch, "0.1.0"), capture, exercise: null);
            using var reader = DumpText.Reader(text);
            var histories = reader.Header.Variables.Select(variable => new PointHistory(variable.Name)).ToList();
            foreach (var words in DumpText.Events(reader).Select(told => told.Split(' ')))
            {
                var at = new Instant(long.Parse(words[0], CultureInfo.InvariantCulture));
                histories[int.Parse(words[1], CultureInfo.InvariantCulture)].Set(words[2] == "1" ? Level.High : Level.Low, Instant.Max(Instant.Start, at - capture.Tick), at);
            }
            foreach (var (signal, history) in capture.Signals.Zip(histories))
            {
                var (again, gaps) = history.Between(Instant.Start, capture.End)!.Value;
                Assert.Equal((signal.Name, signal.Initial), (again.Name, again.Initial));
                Assert.Equal(signal.Changes.Select(change => (change.NotAfter, change.Level)), again.Changes.Select(change => (change.NotAfter, change.Level)));
                Assert.Empty(gaps);
            }
        }
    }

    [Fact]
    public void A_stretch_that_is_not_known_is_a_gap_and_the_change_may_be_anywhere_in_it()
    {
        var history = new PointHistory("U3.18");
        Instant At(long nanoseconds) => new(nanoseconds * 1000);
        history.Set(Level.Low, At(0), At(0));
        history.Set(null, At(99), At(100));
        history.Set(Level.High, At(199), At(200));
        history.Set(null, At(299), At(300));
        history.Set(Level.High, At(399), At(400));
        var (signal, gaps) = history.Between(At(50), At(450))!.Value;
        Assert.Equal(new Change(At(49), At(150), Level.High), Assert.Single(signal.Changes));
        Assert.Equal([new Gap(At(50), At(150), GapReason.NotRecorded), new Gap(At(250), At(350), GapReason.NotRecorded)], gaps.ToArray());
        Assert.Null(history.Between(At(110), At(190)));
    }

    internal static Capture Some(Random random)
    {
        var tick = new Duration(random.Next(2) == 0 ? 1 : 62_500);
        Instant At(long step) => Instant.Start + (tick * step);
        Signal Signal(int number)
        {
            var (level, step, changes) = (random.Next(2) == 0 ? Level.Low : Level.High, 1L, ImmutableArray.CreateBuilder<Change>());
            var initial = level;
            for (var left = random.Next(6); left > 0; left--)
            {
                var before = step;
                step += random.Next(1, 200);
                level = level.Inverted();
                changes.Add(new(At(before), At(step), level));
            }
            return new($"U{number}.1$end", initial, changes.ToImmutable());
        }
        return new(
            tick, tick, 0.005, At(2_000), [.. Enumerable.Range(0, random.Next(1, 200)).Select(Signal)],
            random.Next(2) == 0 ? [] : [new(At(random.Next(1, 300)), At(random.Next(300, 900)), GapReason.HostLate)],
            random.Next(2) == 0 ? [] : [new("U0.1$end", At(random.Next(1, 900)), new(random.NextDouble() * 5), default, default, 8, default)],
            new(CaptureOutcome.Complete, null));
    }
}
