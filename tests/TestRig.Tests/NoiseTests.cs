using System.Globalization;
using System.Text.RegularExpressions;
using Xunit.Abstractions;

namespace TestRig.Tests;

/// <summary>
/// Over a bad link a sweep ends with a right verdict or an honest refusal, never with a wrong verdict; and whatever the link does, no line is on for longer than its limit,
/// and none twice. How a single sweep ends depends on this machine's timing too; that it is never wrong must not.
/// </summary>
/// <remarks>
/// TESTRIG_NOISE=SEED;NOISE;FAULT;MISHAP runs one sweep again, as a failure prints it; TESTRIG_NOISE_SEEDS=N runs N seeds in place of the few of CI (tools/noise-campaign).
/// </remarks>
public class NoiseTests(ITestOutputHelper output)
{
    /// <summary>An emulated chip takes about a tenth of a processor; most of a sweep is waiting for replies that do not come.</summary>
    private const int AtATime = 6;

    /// <summary>Hardly a frame is damaged in a sweep of some 10 kB: repeats make it good.</summary>
    private const string Light = "corrupt=5e-5,drop=2e-5,duplicate=2e-5,delay=1e-4:5ms";

    /// <summary>A long frame in two, and noise on the idle line: some bursts are ended by it.</summary>
    private const string Middling = "corrupt=2e-3,drop=5e-4,duplicate=5e-4,delay=1e-3:5ms,burst=1e-5:8";

    private const string ToHost = "to-host:corrupt=5e-3,to-host:drop=2e-3,to-host:burst=1e-5:8";

    private const string ToChip = "to-chip:corrupt=4e-3,to-chip:duplicate=2e-3,to-chip:delay=4e-3:20ms,to-chip:burst=1e-5:4";

    /// <summary>No frame of 60 bytes survives more often than once in a hundred times, so that four attempts at each of the many do not suffice.</summary>
    private const string Hopeless = "corrupt=5e-2,drop=2e-2,duplicate=1e-2";

    private static readonly string[] _noises = [Light, Middling, ToHost, ToChip, Hopeless];

    private static readonly string[] _faults = ["healthy", "OK3=dead", "OK2=slow:3x", "U3:9=inverted", "net:OK1.5+OK2.5=bridged"];

    /// <summary>In the middle of opening, preparing, driving or fetching, as the seed draws it.</summary>
    private static readonly string[] _mishaps =
    [
        "100ms..3s reset", "100ms..3s vanish 300ms..2s supply", "100ms..3s vanish 300ms..2s data", "100ms..3s mute on", "100ms..3s garbage 300 7",
    ];

    /// <summary>The one sweep that is to be run again, and of which nothing but its own rightness can be asked.</summary>
    private static string? Again { get; } = Environment.GetEnvironmentVariable("TESTRIG_NOISE") is { Length: > 0 } again ? again : null;

    [Fact]
    public async Task Over_a_noisy_link_a_verdict_is_right_or_there_is_none()
    {
        var outcomes = await RunAsync(Planned(seeds => from seed in seeds
                                                       from noise in _noises
                                                       select new NoisySweep(seed, noise, _faults[(seed + Array.IndexOf(_noises, noise)) % _faults.Length], "")));
        if (Again is not null)
            return;
        // A test in which every sweep is refused, or none, proves nothing.
        Assert.Contains(outcomes, outcome => outcome.Sweep.Noise == Light && outcome.Complete);
        Assert.All(outcomes.Where(outcome => outcome.Sweep.Noise == Hopeless), outcome => Assert.False(outcome.Complete, outcome.Sweep.ToString()));
        Assert.Contains(outcomes, outcome => outcome.Link is { Damaged: > 0 });
    }

    [Fact]
    public async Task Through_a_reset_a_vanished_port_a_dead_direction_or_garbage_a_verdict_is_right_or_there_is_none()
    {
        var outcomes = await RunAsync(Planned(seeds => from seed in seeds
                                                       from mishap in _mishaps
                                                       select new NoisySweep(seed, Light, _faults[(seed + Array.IndexOf(_mishaps, mishap)) % _faults.Length], mishap)));
        if (Again is not null)
            return;
        Assert.Contains(outcomes, outcome => !outcome.Complete);
    }

    private static NoisySweep[] Planned(Func<IEnumerable<int>, IEnumerable<NoisySweep>> plan)
    {
        if (Again is not null)
            return [NoisySweep.Parse(Again)];
        var count = Environment.GetEnvironmentVariable("TESTRIG_NOISE_SEEDS") is { Length: > 0 } many ? int.Parse(many, CultureInfo.InvariantCulture) : 4;
        return [.. plan(Enumerable.Range(1, count))];
    }

    /// <summary>The first sentence, without the numbers in which refusals of one kind differ.</summary>
    private static string Alike(string words) => words.Length == 0
        ? "noise ended a burst: not tested, and the channel says so"
        : Regex.Replace(words.Split(". ")[0], "[0-9]+", "#");

    private async Task<NoisyOutcome[]> RunAsync(NoisySweep[] sweeps)
    {
        using var places = new SemaphoreSlim(AtATime);
        var outcomes = await Task.WhenAll(sweeps.Select(async sweep =>
        {
            await places.WaitAsync();
            try
            {
                return await Task.Run(sweep.RunAsync);
            }
            finally
            {
                places.Release();
            }
        }));
        foreach (var kind in outcomes.GroupBy(outcome => outcome.Sweep.Mishap.Length > 0 ? outcome.Sweep.Mishap : outcome.Sweep.Noise))
        {
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{kind.Count(outcome => outcome.Kind == "right"),4} right {kind.Count(outcome => outcome.Kind == "refused"),4} refused {kind.Count(outcome => outcome.Kind == "WRONG"),4} wrong; {kind.Sum(outcome => outcome.Link?.Damaged ?? 0),6} damaged frames, {kind.Sum(outcome => outcome.Link?.Repeats ?? 0),5} repeats  {kind.Key}"));
            foreach (var words in kind.Where(outcome => !outcome.Complete).GroupBy(outcome => Alike(outcome.Words)).OrderByDescending(words => words.Count()))
                output.WriteLine($"        {words.Count()} × {words.Key}");
        }
        Assert.All(outcomes, outcome => Assert.True(outcome.Wrongs.IsEmpty, $"TESTRIG_NOISE='{outcome.Sweep}'\n{string.Join("\n", outcome.Wrongs)}\n{outcome.Words}"));
        return outcomes;
    }
}
