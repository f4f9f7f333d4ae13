using System.Collections.Immutable;
using System.Globalization;
using Xunit.Abstractions;

namespace TestRig.Tests.FaultSamples;

/// <summary>
/// A sample of the faults of <c>testrig campaign</c> gives the same verdicts through the real firmware as on the simulated bench: what was found wrong, of which channel, and who is suspected first. Here a few faults of each
/// board; tools/fault-sample takes 60 and more.
/// </summary>
public class FaultSampleTests(ITestOutputHelper output)
{
    /// <summary>So many faults, shared by the boards; from what seed; and the file that tells of each: set by tools/fault-sample.</summary>
    private const string CountVariable = "TESTRIG_FAULT_SAMPLE", SeedVariable = "TESTRIG_FAULT_SAMPLE_SEED", ReportVariable = "TESTRIG_FAULT_SAMPLE_REPORT";

    private const int CountInCi = 6;

    /// <summary>An emulated chip takes some of a processor, and waits most of a sweep.</summary>
    private const int AtATime = 2;

    private readonly Lock _telling = new();

    [Fact]
    public async Task A_sample_of_all_faults_gives_the_same_verdicts_through_the_real_firmware()
    {
        var (count, seed) = (Number(CountVariable, CountInCi), Number(SeedVariable, 1));
        var outcomes = new List<Outcome>();
        for (var index = 0; index < SampledBoard.Shipped.Length; index++)
        {
            var board = await SampledBoard.LoadAsync(SampledBoard.Shipped[index]);
            // Of a number that the boards cannot share evenly, the first ones take one more.
            var share = (count + SampledBoard.Shipped.Length - 1 - index) / SampledBoard.Shipped.Length;
            outcomes.AddRange(await RunAsync([.. FaultDraw.From(board.Board, share, seed).Select((fault, number) => new SampledSweep(board, fault, Seed: seed + number))]));
        }
        foreach (var line in Totals(outcomes))
            Tell(line);
        Assert.True(outcomes.Count >= count, $"only {outcomes.Count} faults were drawn");
        Assert.True(outcomes.TrueForAll(outcome => outcome.Same), string.Join('\n', outcomes.Where(outcome => !outcome.Same)));
    }

    /// <summary>Each as soon as it is known: a sample takes its time.</summary>
    private void Tell(string line)
    {
        lock (_telling)
        {
            output.WriteLine(line);
            if (Environment.GetEnvironmentVariable(ReportVariable) is { Length: > 0 } file)
                File.AppendAllText(file, line + "\n");
        }
    }

    private async Task<Outcome[]> RunAsync(ImmutableArray<SampledSweep> sweeps)
    {
        using var places = new SemaphoreSlim(AtATime);
        return await Task.WhenAll(sweeps.Select(async sweep =>
        {
            await places.WaitAsync();
            try
            {
                var outcome = await Task.Run(async () => new Outcome(sweep, await sweep.OnSimulatedBenchAsync(), sweep.OnFirmware()));
                Tell(outcome.ToString());
                return outcome;
            }
            finally
            {
                places.Release();
            }
        }));
    }

    private static IEnumerable<string> Totals(List<Outcome> outcomes)
    {
        foreach (var board in outcomes.GroupBy(outcome => outcome.Sweep.On.Name))
        {
            var same = board.Where(outcome => outcome.Same).ToList();
            yield return string.Create(CultureInfo.InvariantCulture,
                $"{board.Key}: {board.Count()} faults, {same.Count} same ({same.Count(outcome => outcome.SameGroup)} with the same suspects, {same.Count(outcome => !outcome.SameGroup)} with one group inside the other), {board.Count() - same.Count} different");
        }
        yield return string.Create(CultureInfo.InvariantCulture, $"{outcomes.Count(outcome => outcome.Same)} same, {outcomes.Count(outcome => !outcome.Same)} different");
    }

    private static int Number(string variable, int otherwise) =>
        Environment.GetEnvironmentVariable(variable) is { Length: > 0 } written ? int.Parse(written, CultureInfo.InvariantCulture) : otherwise;

    private sealed record Outcome(SampledSweep Sweep, SampledVerdict Simulated, SampledVerdict Firmware)
    {
        public bool Same => Simulated.IsSameAs(Firmware);

        public bool SameGroup => Simulated.HasSameGroupAs(Firmware);

        public override string ToString() => Same && SameGroup
            ? $"same       {Sweep}: {Firmware}"
            : $"{(Same ? "inside    " : "DIFFERENT ")} {Sweep}\n    firmware:  {Firmware}\n    simulated: {Simulated}";
    }
}
