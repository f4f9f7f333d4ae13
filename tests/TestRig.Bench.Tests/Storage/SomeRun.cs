using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using TestRig.Bench.Exercising;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Storage;

/// <summary>Ready-made pieces of invented runs.</summary>
internal static class SomeRun
{
    public static readonly FigureKey Rise = new("left", "U3.18", Expectation.Rises, FigureKind.Delay);

    public static readonly FigureKey Fall = new("left", "U3.18", Expectation.Falls, FigureKind.Delay);

    public static readonly FigureKey Voltage = new("right", "Q1.C", Expectation.LowLevel, FigureKind.Level);

    public static readonly IReadOnlyDictionary<long, KeptCycle> NothingKept = ImmutableDictionary<long, KeptCycle>.Empty;

    private static readonly JsonSerializerOptions _every = new() { NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals };

    /// <summary>Begun at 18:00 in a place that is five and a half hours ahead.</summary>
    public static readonly DateTimeOffset Start = new DateTimeOffset(2026, 3, 12, 18, 0, 0, TimeSpan.FromMinutes(330)).AddTicks(1_234_567);

    public static RunHeading Heading(string id, RunKind kind = RunKind.Soak, string board = "Dome drive", DateTimeOffset? started = null, string profile = "the profile's text: \u00fc\n") => new(
        id, kind, board, new("profiles/some.yaml", profile, ImmutableSortedDictionary.Create<string, string>(StringComparer.Ordinal).Add("74LS240", "a buffer").Add("4N25", "an isolator")),
        ExerciseMode.Motion, started ?? Start, """{"every":"10 s"}""", "0.1.0")
    {
        Simulated = true,
    };

    public static SessionHeading Session(int processId = 4711) => new(Start.AddSeconds(1), """{"board":"some"}""", "bench-2", processId);

    /// <summary>A cycle in which all is well.</summary>
    public static CycleRecord Cycle(long number) => new(
        number, Start.AddMinutes(number), TimeSpan.FromTicks(12_345_678 + number), SweepOutcome.Complete, "", [new("left", Condition.Working, null), new("right", Condition.Working, null)], [],
        [new(Rise, 5_250_000 + number, null, 9_000_000), new(Fall, -number, -5, null), new(Voltage, 411_000, 0, 800_000)]);

    public static CycleRecord FailedCycle(long number) => Cycle(number) with
    {
        Outcome = SweepOutcome.StoppedForSafety,
        Words = "Stop input home became active.",
        Channels = [new("left", Condition.Working, null), new("right", Condition.Dead, "OK3: never conducts.")],
        Figures = [new(Rise, 5_250_000, null, 9_000_000)],
    };

    /// <summary>A part of a trial with every quantity; none of them is a short decimal.</summary>
    public static TriedPart Part(int number) => new(number, Start.AddMinutes(number), TimeSpan.FromTicks(2_345_678), new(
        new(new(0.1 / 3, 1e-5 / 3), new(1.15, 0.02), new(2.0 / 3, 0.01, AtLeast: true), new(-1e-9 / 7, 5e-300)),
        new(new(5.7e-6, 1e-6) { Expanded = 3.4e-6 }, new(Math.PI * 1e-5, 0) { Expanded = 2.8e-6 }, IsSilent: false, "All as it should be: ü.")));

    /// <summary>A part of which hardly anything could be measured.</summary>
    public static TriedPart DeadPart(int number) => Part(number) with { Measured = new(new(new(0, 0), null, null, new(double.MaxValue, 0)), new(null, null, IsSilent: true, "")) };

    public static TriedPart SkippedPart(int number) => new(number, Start.AddMinutes(number), TimeSpan.Zero, null);

    public static RunNote Note(string words) => new(Start.AddHours(2), "anna", words, [new("OK3", "4N25, date code 2419"), new("U3", "")], null);

    /// <summary>Every value of it, to compare two: records that hold arrays are equal only when they are the same.</summary>
    public static string Text<T>(T value) => JsonSerializer.Serialize(value, _every);

    public static async Task<List<CycleRecord>> CyclesAsync(this IRunStore store, string run, long from = 1)
    {
        var cycles = new List<CycleRecord>();
        await foreach (var cycle in store.CyclesAsync(run, from, CancellationToken.None))
            cycles.Add(cycle);
        return cycles;
    }

    public static Task<IReadOnlyDictionary<long, long>> AppendAsync(this IRunStore store, RunSession session, CycleRecord cycle) => store.AppendAsync(session, cycle, NothingKept, CancellationToken.None);

    /// <summary>A run with its first session.</summary>
    public static async Task<RunSession> BeginAsync(this IRunStore store, string id)
    {
        await store.BeginAsync(Heading(id), CancellationToken.None);
        return await store.OpenSessionAsync(id, Session(), CancellationToken.None);
    }
}
