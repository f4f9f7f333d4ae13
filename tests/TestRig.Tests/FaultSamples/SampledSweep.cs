using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using TestRig.Bench.Exercising;
using TestRig.Bench.Reporting;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Scheduling;

namespace TestRig.Tests.FaultSamples;

/// <summary>One fault of one board, through the whole program with the real firmware on the emulated bench, and on the simulated bench.</summary>
internal sealed record SampledSweep(SampledBoard On, BoardFault Fault, int Seed)
{
    private const int Attempts = 4;

    private Board Board => On.Board;

    /// <summary>Only a machine that moves shows what is wrong with motors, pick-ups and switches.</summary>
    private bool Moves => Board.Channels.Any(channel => channel.Line.Motion)
        && (Fault.Mode == FaultMode.Feedback || Board.Parts.Any(part => part is SwitchPart && part.Name == Fault.Item) || Board.Stops.Any(stop => stop.Point.Name == Fault.Item));

    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{On.Name} {Fault}{(Moves ? " (with motion)" : "")}");

    /// <summary>
    /// The program in a process of its own; it sees nothing but a serial port. Where this machine is too slow for the emulated chip, the host asks for a capture before the chip is through with it, which ends
    /// the exercise: that is no verdict, and the program's own advice is to sweep again.
    /// </summary>
    public SampledVerdict OnFirmware()
    {
        var verdict = SweepFirmware();
        for (var again = 1; again < Attempts && verdict.Untested.Contains("ended early", StringComparison.Ordinal); again++)
            verdict = SweepFirmware();
        return verdict;
    }

    private SampledVerdict SweepFirmware()
    {
        using var bench = EmulatedBench.Start(
            Fault.Written.Select(written => FaultOnEmulatedBench.Of(Board, written)), Moves, ["--seed", Seed.ToString(CultureInfo.InvariantCulture)], On.EmulatedBoard, On.Chip);
        using var run = ProgramRun.ToEnd(["sweep", On.Profile, "--adapter", bench.Adapter, Moves ? "--allow-motion" : "--motor-is-off", "--json", "-"]);
        return run.Output.Length > 0 ? SampledVerdict.Of(RunRecord.Of(run)) : throw new InvalidOperationException($"{this}: exit {run.ExitCode} without a record\n{run.Error}");
    }

    public async Task<SampledVerdict> OnSimulatedBenchAsync()
    {
        var plan = FaultPlan.Of(Board, Fault.Written).Plan!;
        await using var adapter = new SimulatedAdapter(Board, plan, new Variation(Seed), motorSupplyOn: Moves, On.Figures, On.Pins);
        var options = new SweepOptions(Moves ? ExerciseMode.Motion : ExerciseMode.LogicOnly, MotorOffConfirmed: !Moves, NoStopInputAcknowledged: false);
        var result = await new Sweep(Board, adapter, options, TimeProvider.System, Serilog.Core.Logger.None).RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
        var record = RunJson.Write(result, On.Profile, ImmutableDictionary<string, string>.Empty);
        return SampledVerdict.Of(new(JsonDocument.Parse(record).RootElement));
    }
}
