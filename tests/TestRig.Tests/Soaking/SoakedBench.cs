using TestRig.Tests.Shared;

namespace TestRig.Tests.Soaking;

/// <summary>The emulated dome card behind a port that keeps its name, and a store for soaks of it.</summary>
internal sealed class SoakedBench : IDisposable
{
    /// <summary>Longest on-time of every line in the demonstration profile.</summary>
    private const long LongestOnNs = 500_000_000;

    public static readonly string[] Pins = ["D22", "D23", "D24", "D25", "D26", "D27"];

    private readonly string _folder = TestFolders.Create().FullName;

    public SoakedBench(params string[] faults)
    {
        Link = Path.Combine(_folder, "port");
        Bench = EmulatedBench.Start(faults, options: ["--port-link", Link]);
    }

    public EmulatedBench Bench { get; }

    /// <summary>The port's name, there as long as it is plugged in.</summary>
    public string Link { get; }

    public string Store => Path.Combine(_folder, "runs.db");

    /// <summary>The only run in the store.</summary>
    public StoredSoak Stored
    {
        get
        {
            var reading = StoreReading.Of(Store);
            Assert.Equal("ok", reading.Integrity);
            return Assert.Single(reading.Runs);
        }
    }

    public ProgramRun Soak(params string[] options) => ProgramRun.Start(["soak", Repository.DomeProfile, "--adapter", $"serial:{Link}", "--store", Store, .. options]);

    /// <summary>Waits until a line is on once a cycle is stored.</summary>
    public void WaitForLineOfSecondCycle(ProgramRun run, string pin = "")
    {
        run.WaitFor("progress 1 cycle");
        Bench.WaitForLines(lines => lines.Contains($"{pin}=on", StringComparison.Ordinal));
    }

    /// <summary>Ends the bench. No line was on for too long, and each as often as its cycles ask.</summary>
    /// <param name="cut">Cycles that were cut short after some of their lines.</param>
    public void AssertLines(int cut = 0)
    {
        var lines = Bench.EndAndReadLines();
        Assert.All(lines, line => Assert.NotNull(line.To));
        Assert.All(lines, line => Assert.InRange(line.Length(0), 1, LongestOnNs));
        var stored = Stored;
        stored.AssertDriven([.. Pins.Select(pin => lines.Count(line => line.Pin == pin))], 0, stored.Cycles, cut);
    }

    public void Dispose() => Bench.Dispose();
}
