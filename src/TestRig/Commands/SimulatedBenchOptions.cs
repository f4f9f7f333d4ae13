using System.CommandLine;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>--fault and --seed, shared by every command that can work on the simulated bench.</summary>
internal sealed class SimulatedBenchOptions
{
    private readonly Option<string?> _adapter;

    private readonly Option<string[]> _faults = new("--fault")
    {
        Description = "Break something on the simulated bench (implies --adapter simulated; repeatable): OK3=dead, OK2=slow:3x, OK2=intermittent:0.01, OK2=drifting:0.1, U3:18=stuck-low, U3=no-supply, home-switch=bouncing, U3=disabled, U4:2=holds-low, net:NET+NET=bridged, lead:TESTPOINT=open, lead:TESTPOINT=at-NET, lead:TESTPOINT+TESTPOINT=swapped, line:LINE=dead, supply:SUPPLY=off, motor:CHANNEL=dead, STOPPOINT=active, M1:S0=stuck-low.",
        HelpName = "WHAT=HOW",
        DefaultValueFactory = _ => [],
    };

    private readonly Option<int?> _seed = NumberOption.Create(
        "--seed", $"Another simulated bench: other parts of the same kinds, other noise (simulated bench only; default {SimulatedBench.DefaultSeed}).", least: int.MinValue);

    private readonly Option<string[]>? _contents;

    /// <param name="adapter">The --adapter of the same command.</param>
    /// <param name="contents">What else of the same command is for the simulated bench only, and implies it; null where nothing is.</param>
    public SimulatedBenchOptions(Option<string?> adapter, Option<string[]>? contents = null) => (_adapter, _contents) = (adapter, contents);

    public void AddTo(Command command)
    {
        command.Add(_faults);
        command.Add(_seed);
        command.Validators.Add(result =>
        {
            // As written, not as a value: what is written twice, or is no number, has no value, and is told of by the option itself.
            var (faulty, seeded) = (result.GetResult(_faults) is not null || (_contents is not null && result.GetResult(_contents) is not null), result.GetResult(_seed) is not null);
            var adapter = result.GetResult(_adapter)?.Tokens is [var written, ..] ? written.Value : null;
            if (adapter is not null and not AdapterOption.Simulated && (faulty || seeded))
                result.AddError($"--fault{(_contents is null ? "" : $", {_contents.Name}")} and --seed are for the simulated bench only: leave them out, or '--adapter {adapter}'.");
            else if (adapter is null && !faulty && seeded)
                result.AddError("--seed is for the simulated bench only: add --adapter simulated.");
        });
    }

    /// <summary>Null when a real adapter is wanted.</summary>
    public SimulatedBench? Read(ParseResult parsed)
    {
        var faults = parsed.GetValue(_faults)!;
        return parsed.GetValue(_adapter) == AdapterOption.Simulated || faults.Length > 0 || (_contents is not null && parsed.GetValue(_contents)!.Length > 0) ? new(faults, parsed.GetValue(_seed) ?? SimulatedBench.DefaultSeed) : null;
    }
}

/// <summary>The simulated bench that was asked for.</summary>
internal sealed record SimulatedBench(IReadOnlyList<string> Faults, int Seed)
{
    /// <summary>Where none is asked for.</summary>
    public const int DefaultSeed = 1;

    /// <summary>As it would be written again; nothing for the usual one.</summary>
    public string[] SeedOption => Seed == DefaultSeed ? [] : ["--seed", Seed.ToString(System.Globalization.CultureInfo.InvariantCulture)];

    /// <exception cref="BadUsageException">A fault cannot be there: with all problems.</exception>
    public SimulatedAdapter Build(Board board, ExerciseMode mode)
    {
        var (plan, errors) = FaultPlan.Of(board, Faults);
        return plan is null ? throw new BadUsageException([.. errors]) : new(board, plan, Seed, motorSupplyOn: mode == ExerciseMode.Motion);
    }
}
