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

    /// <summary>How often it does.</summary>
    public int SupplyDrops { get; init; } = 1;

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

    /// <summary>After this the run must have come to its end, in any case.</summary>
    public TimeSpan Longest { get; init; } = TimeSpan.FromHours(2);

    /// <summary>The operator comes back so often; more, and the run never ends.</summary>
    public int MostProcesses { get; init; } = 60;

    /// <summary>Whether it is drawn by <see cref="LongOf"/>.</summary>
    public bool IsLong { get; init; }

    /// <summary>
    /// A soak of some thousand cycles with trouble all along, drawn from the seed. Eight in ten are of the tide gauge, whose cycles are the cheapest; one is of the dome drive, and one of that with motion.
    /// </summary>
    public static Scenario LongOf(int seed)
    {
        var random = new Random(seed);
        double Share(double ofSeeds, double most) => random.NextDouble() < ofSeeds ? random.NextDouble() * most : 0;
        var kind = random.Next(10);
        var cycles = random.Next(1000, 4001);
        var together = random.Next(3) == 0;
        var (profile, cycleSeconds) = kind < 8 ? ("tide-gauge", 2.0) : ("dome-drive", 3.0);
        var quiet = TimeSpan.FromSeconds(cycles * cycleSeconds);
        // At most so many in an hour of 1000 cycles or so; each kind is absent from some seeds.
        int Times(double ofSeeds, double mostInThousand) => random.NextDouble() < ofSeeds ? 1 + (int)(random.NextDouble() * mostInThousand * cycles / 1000) : 0;
        return new()
        {
            Seed = seed,
            IsLong = true,
            Profile = profile,
            Mode = kind < 9 ? ExerciseMode.LogicOnly : ExerciseMode.Motion,
            Together = together,
            Cycles = cycles,
            Wire = new(Share(0.35, 0.001), Share(0.35, 0.001), Share(0.25, 0.002), Share(0.25, 0.001)),
            Store = new(Share(0.4, 0.01), Share(0.2, 0.002), Share(0.25, 0.002), Share(0.3, 0.002)),
            ResetsOnOpening = random.Next(2) == 0,
            NoiseBursts = Times(0.6, 10),
            Unplugs = Times(0.6, 4),
            AnotherReturns = random.Next(4) == 0,
            Resets = Times(0.6, 6),
            Kills = Times(0.8, 4),
            Interrupts = Times(0.6, 3),
            ClockSteps = Times(0.5, 3),
            BoardFaults = profile == "dome-drive" && random.Next(3) == 0 ? ["OK3=intermittent"] : [],
            DroppingSupply = random.Next(3) > 0 ? null : profile == "tide-gauge" ? "station" : "isolated",
            SupplyDrops = Times(1, 2),
            Quiet = quiet,
            Longest = (quiet * 4) + TimeSpan.FromHours(2),
            MostProcesses = 60 + cycles,
        };
    }

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
            Cycles = random.Next(1, 6),
            Wire = new(Share(0.35, 0.04), Share(0.35, 0.04), Share(0.25, 0.05), Share(0.25, 0.03)),
            Store = new(Share(0.4, 0.5), Share(0.2, 0.4), Share(0.25, 0.4), Share(0.2, 0.4)),
            ResetsOnOpening = random.Next(2) == 0,
            NoiseBursts = Times(0.35, 4),
            Unplugs = Times(0.3, 2),
            AnotherReturns = random.Next(4) == 0,
            Resets = Times(0.35, 3),
            Kills = Times(0.35, 2),
            Interrupts = Times(0.25, 2),
            ClockSteps = Times(0.25, 2),
            Quiet = TimeSpan.FromSeconds(random.Next(3, 25)),
        };
        return scenario.Profile == "tide-gauge"
            ? scenario with { DroppingSupply = random.Next(4) == 0 ? "station" : null }
            : scenario with { BoardFaults = random.Next(3) == 0 ? ["OK3=intermittent"] : [], DroppingSupply = random.Next(5) == 0 ? "isolated" : null };
    }
}
