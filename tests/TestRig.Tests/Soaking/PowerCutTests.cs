using TestRig.Tests.Shared;
using Xunit.Abstractions;

namespace TestRig.Tests.Soaking;

/// <summary>
/// The power goes while a soak stores its cycles. Of each file the disk then surely has what was there when it was synced last; of what was written since, it has some blocks, in no order. Only the real library
/// that writes the store, and the real calls with which it syncs, have a part in it.
/// </summary>
public class PowerCutTests(ITestOutputHelper output)
{
    private const int Cycles = 600, Cuts = 6, Block = 4096;

    private static readonly string _profile = Path.Combine(Repository.Root, "profiles", "tide-gauge.yaml");

    private readonly string _kept = TestFolders.Create().FullName;
    private readonly string _store = Path.Combine(TestFolders.Create().FullName, "runs.db");
    private readonly Random _random = new(1);

    private StoredSoak Stored
    {
        get
        {
            var reading = StoreReading.Of(_store);
            Assert.Equal("ok", reading.Integrity);
            return Assert.Single(reading.Runs);
        }
    }

    [Fact]
    public void When_the_power_goes_no_cycle_that_was_acknowledged_is_lost_and_the_soak_goes_on()
    {
        var lost = 0L;
        for (var cut = 0; cut < Cuts; cut++)
        {
            var before = cut == 0 ? 0 : Stored.Cycles;
            using var run = Start(cut == 0 ? ["--cycles", $"{Cycles}"] : ["--resume", Stored.Id]);
            WaitForCycles(run, before + _random.Next(2, Cycles / Cuts));
            run.Kill();
            // The last cycle may have been written, and not yet be synced: then nobody was told that it is stored.
            var written = Stored.Cycles;
            lost += CutPower();
            var left = Stored;
            Assert.InRange(left.Cycles, written - 1, written);
            left.AssertCounts(left.Cycles);
            Assert.False(left.Ended);
        }
        output.WriteLine($"{lost} bytes were written and gone with the power");
        using var last = Start(["--resume", Stored.Id]).WaitForEnd(0);
        Stored.AssertCounts(Cycles);
        Assert.True(Stored.Ended);
    }

    private ProgramRun Start(string[] options) => ProgramRun.Start(
        ["env", $"LD_PRELOAD={Path.Combine(Repository.Root, "tests", "power-cut", "build", "libsynced.so")}"],
        new Dictionary<string, string> { ["SYNCED_OF"] = _store, ["SYNCED_TO"] = _kept },
        ["soak", _profile, "--adapter", "simulated", "--store", _store, .. options]);

    private void WaitForCycles(ProgramRun run, long cycles)
    {
        var patience = DateTime.UtcNow + TimeSpan.FromMinutes(2);
        while (!File.Exists(_store) || StoreReading.Of(_store).Runs is not [var soak] || soak.Cycles < cycles)
        {
            Assert.False(run.HasEnded, $"It ended before its cycle {cycles}:\n{run.Output}{run.Error}");
            Assert.True(DateTime.UtcNow < patience, $"It never came to cycle {cycles}:\n{run.Output}{run.Error}");
            Thread.Sleep(20);
        }
    }

    /// <summary>Leaves of each of the store's files what the disk may have of it.</summary>
    /// <returns>Bytes that were written and are gone.</returns>
    private long CutPower()
    {
        var gone = 0L;
        // What lies in shared memory never was on the disk.
        File.Delete(_store + "-shm");
        foreach (var file in new[] { _store, _store + "-wal" })
        {
            var synced = Path.Combine(_kept, Path.GetFileName(file));
            var (written, sure) = (File.Exists(file) ? File.ReadAllBytes(file) : [], File.Exists(synced) ? File.ReadAllBytes(synced) : []);
            var left = Mixed(sure, written);
            gone += written.Where((value, index) => index >= left.Length || left[index] != value).Count();
            File.WriteAllBytes(file, left);
            // From here on that is what it has.
            File.WriteAllBytes(synced, left);
        }
        return gone;
    }

    /// <summary>Of each block what was synced, or what was written since.</summary>
    private byte[] Mixed(byte[] synced, byte[] written)
    {
        var left = new byte[_random.Next(2) == 0 ? synced.Length : Math.Max(synced.Length, written.Length)];
        for (var start = 0; start < left.Length; start += Block)
        {
            var from = _random.Next(2) == 0 ? synced : written;
            var length = Math.Min(Block, Math.Min(left.Length, from.Length) - start);
            if (length > 0)
                Array.Copy(from, start, left, start, length);
        }
        return left;
    }
}
