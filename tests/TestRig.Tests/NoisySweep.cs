using System.Collections.Immutable;
using System.Globalization;
using Serilog.Core;
using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;
using TestRig.Tests.Expectations;

namespace TestRig.Tests;

/// <summary>One sweep of the dome drive card through the real firmware over a bad link.</summary>
/// <param name="Noise">As the emulated bench's --link-noise takes it.</param>
/// <param name="Fault">As its --fault takes it; "healthy" for none.</param>
/// <param name="Mishap">As its --in takes it; empty for none.</param>
internal sealed record NoisySweep(int Seed, string Noise, string Fault, string Mishap)
{
    private const string Healthy = "healthy";

    /// <summary>Longest on-time of every line in the demonstration profile.</summary>
    private const long LongestOnNs = 500_000_000;

    /// <summary>The board as the profile has it.</summary>
    public static Board Board { get; } =
        ProfileLoader.Load(Repository.DomeProfile, Path.Combine(AppContext.BaseDirectory, "parts")).Board ?? throw new InvalidOperationException("The demonstration profile has errors.");

    /// <summary>What <see cref="Parse"/> reads: with it in TESTRIG_NOISE a test runs this one again.</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Seed};{Noise};{Fault};{Mishap}");

    /// <exception cref="FormatException">Not SEED;NOISE;FAULT;MISHAP.</exception>
    public static NoisySweep Parse(string text) => text.Split(';') is [var seed, var noise, var fault, var mishap]
        ? new(int.Parse(seed, CultureInfo.InvariantCulture), noise, fault, mishap)
        : throw new FormatException($"'{text}' is not SEED;NOISE;FAULT;MISHAP, as a failed test prints it.");

    /// <summary>Sweeps, and judges the outcome by what is known of the board and by the bench's own log.</summary>
    public async Task<NoisyOutcome> RunAsync()
    {
        string[] mishap = Mishap.Length > 0 ? ["--in", Mishap] : [];
        using var bench = EmulatedBench.Start(
            Fault == Healthy ? [] : [Fault], options: ["--seed", Seed.ToString(CultureInfo.InvariantCulture), "--link-noise", Noise, "--uart-depth", "2", .. mishap]);
        SweepResult? result = null;
        Exception? broken = null;
        var words = "";
        try
        {
            await using var adapter = await SerialAdapter.OpenAsync(bench.Port, default);
            result = await new Sweep(Board, adapter, new(ExerciseMode.LogicOnly, false, false), TimeProvider.System, Logger.None).RunAsync(new Unheard(), default);
            words = result.Ending.Words;
        }
        catch (AdapterException refused)
        {
            words = refused.Message;
        }
        catch (Exception cause)
        {
            // Noise may not make the program take the profile for wrong, nor break it: told as what it is, with the sweep that does it.
            broken = cause;
        }
        // What the host left behind, when its link broke, ends by itself: the log has to tell when.
        bench.WaitForLines(lines => !lines.Contains("=on", StringComparison.Ordinal));
        var wrongs = result is null ? [] : WrongVerdicts(result);
        wrongs.AddRange(WrongLines(bench.EndAndReadLines(), result));
        var complete = result is { Ending.Outcome: SweepOutcome.Complete } && result.Channels.All(channel => channel.Condition != Condition.NotTested);
        if (broken is not null)
            wrongs.Add($"neither a verdict nor a refusal: {broken}");
        else if (!complete && words.Length == 0 && result?.Channels.Any(channel => channel.Condition == Condition.NotTested && channel.Summary.Length > 0) != true)
            wrongs.Add("it refused without a word");
        return new(this, complete, words, [.. wrongs], result?.Link);
    }

    private List<string> WrongVerdicts(SweepResult result)
    {
        var wrongs = new List<string>();
        var (channels, expected, suspect) = Expected();
        foreach (var channel in result.Channels.Where(channel => channel.Condition != Condition.NotTested))
        {
            var right = DomeFaults.Concerns(channels, channel.Channel.Name) ? expected : "working";
            if (right != KebabCase(channel.Condition))
                wrongs.Add($"{channel.Channel.Name} is {KebabCase(channel.Condition)}, should be {right}: {channel.Summary}");
        }
        // Only an adapter that fails ends a sweep for noise: nothing was unsafe.
        if (result.Ending.Outcome is not (SweepOutcome.Complete or SweepOutcome.AdapterFailed))
            wrongs.Add($"it ended as {result.Ending.Outcome}: {result.Ending.Words}");
        var named = result.Diagnosis.Faults.Length;
        if (named > (result.AnyFaulty ? 1 : 0))
            wrongs.Add($"{named} faults were named: {string.Join("; ", result.Diagnosis.Suspects.Select(item => item.Words))}");
        if (!result.Incomplete && suspect.Length > 0 && result.Diagnosis.Suspects.FirstOrDefault()?.Group.Contains(suspect) != true)
            wrongs.Add($"all channels were judged, and {suspect} is not suspected first");
        return wrongs;
    }

    /// <summary>Each line is pulsed once in a sweep.</summary>
    private static IEnumerable<string> WrongLines(IReadOnlyList<LineOn> lines, SweepResult? result)
    {
        foreach (var line in lines.Where(line => line.To is null || line.Length(0) > LongestOnNs))
            yield return $"{line} is longer than {LongestOnNs} ns";
        foreach (var twice in lines.GroupBy(line => line.Pin).Where(pin => pin.Count() > 1))
            yield return $"{twice.Key} was on {twice.Count()} times";
        foreach (var judged in result?.Channels.Where(channel => channel.Condition != Condition.NotTested) ?? [])
        {
            if (lines.All(line => line.Pin != judged.Channel.Line.AdapterPin))
                yield return $"{judged.Channel.Name} was judged, and its line was never on";
        }
    }

    private (string Channels, string Condition, string Suspect) Expected() => Fault == Healthy
        ? ("", "", "")
        : DomeFaults.All.Select(row => ((object[])row)).Where(row => (string)row[0] == Fault).Select(row => ((string)row[2], (string)row[3], (string)row[4])).Single();

    private static string KebabCase(Condition condition) =>
        System.Text.Json.JsonNamingPolicy.KebabCaseLower.ConvertName(condition.ToString());

    private sealed class Unheard : IProgress<SweepEvent>
    {
        public void Report(SweepEvent value)
        {
            // The result tells all of it once more.
        }
    }
}

/// <summary>What came of one sweep.</summary>
/// <param name="Complete">Every channel was judged; otherwise some were refused, with words.</param>
/// <param name="Wrongs">Each thing that must never be; empty when the outcome is a right verdict or an honest refusal.</param>
internal sealed record NoisyOutcome(NoisySweep Sweep, bool Complete, string Words, ImmutableArray<string> Wrongs, LinkHealth? Link)
{
    public string Kind => !Wrongs.IsEmpty ? "WRONG" : Complete ? "right" : "refused";
}
