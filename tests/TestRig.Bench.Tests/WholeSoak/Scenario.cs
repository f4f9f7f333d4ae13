using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>What one seed stands for: the board, how long it is soaked, and all that goes wrong until <see cref="Quiet"/>. After that nothing more goes wrong, and the run has to come to its end.</summary>
internal sealed record Scenario
{
    public required int Seed { get; init; }

    /// <summary>Of the profile: "tide-gauge".</summary>
    public string Profile { get; init; } = "tide-gauge";

    public ExerciseMode Mode { get; init; } = ExerciseMode.LogicOnly;

    public bool Together { get; init; }

    public long Cycles { get; init; } = 2;

    /// <summary>As they are written on the command line, for the whole run.</summary>
    public string[] BoardFaults { get; init; } = [];

    /// <summary>The supply that drops out for a while; null for none.</summary>
    public string? DroppingSupply { get; init; }

    public WireFaults Wire { get; init; } = WireFaults.None;

    public StoreFaults Store { get; init; } = StoreFaults.None;

    public DeviceFault Device { get; init; }

    /// <summary>The host that is not as ours is: it executes a program once more, under a new number.</summary>
    public bool RepeatsRuns { get; init; }

    public bool ResetsOnOpening { get; init; }

    /// <summary>How often each happens, at instants that the seed draws.</summary>
    public int NoiseBursts { get; init; }

    public int Unplugs { get; init; }

    /// <summary>Of the unplugs, the first is followed by another adapter.</summary>
    public bool AnotherReturns { get; init; }

    public int Resets { get; init; }

    public int Kills { get; init; }

    public int Interrupts { get; init; }

    public int ClockSteps { get; init; }

    /// <summary>From here on nothing more goes wrong.</summary>
    public TimeSpan Quiet { get; init; } = TimeSpan.FromSeconds(30);

    /// <summary>Everything drawn from the seed: each kind of trouble in some seeds, several kinds in most.</summary>
    public static Scenario Of(int seed)
    {
        var random = new Random(seed);
        double Share(double ofSeeds, double most) => random.NextDouble() < ofSeeds ? random.NextDouble() * most : 0;
        int Times(double ofSeeds, int most) => random.NextDouble() < ofSeeds ? random.Next(1, most + 1) : 0;
        var kind = random.Next(10);
        var scenario = new Scenario
        {
            Seed = seed,
            Profile = kind < 6 ? "tide-gauge" : "dome-drive",
            Mode = kind < 8 ? ExerciseMode.LogicOnly : ExerciseMode.Motion,
            Together = random.Next(3) == 0,
            Cycles = random.Next(1, 4),
            Wire = new(Share(0.35, 0.02), Share(0.35, 0.02), Share(0.25, 0.03), Share(0.25, 0.02)),
            Store = new(Share(0.4, 0.5), Share(0.2, 0.4), Share(0.25, 0.4)),
            ResetsOnOpening = random.Next(2) == 0,
            NoiseBursts = Times(0.35, 4),
            Unplugs = Times(0.3, 2),
            AnotherReturns = random.Next(4) == 0,
            Resets = Times(0.35, 3),
            Kills = Times(0.35, 2),
            Interrupts = Times(0.25, 2),
            ClockSteps = Times(0.25, 2),
            Quiet = TimeSpan.FromSeconds(random.Next(5, 40)),
        };
        return scenario.Profile == "tide-gauge"
            ? scenario with { DroppingSupply = random.Next(4) == 0 ? "station" : null }
            : scenario with { BoardFaults = random.Next(3) == 0 ? ["OK3=intermittent"] : [], DroppingSupply = random.Next(5) == 0 ? "isolated" : null };
    }
}
