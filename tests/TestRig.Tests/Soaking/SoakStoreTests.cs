using TestRig.Tests.Shared;

namespace TestRig.Tests.Soaking;

/// <summary>Stores that take nothing, or nothing more: each is told by its place and with its remedy, what it holds stays, and no line is left on.</summary>
public class SoakStoreTests
{
    private const int Cycles = 8;

    /// <summary>Only an administrator's processes may do without the permissions of a file: these words take that from them.</summary>
    private static readonly string[] _heedingPermissions = Environment.IsPrivilegedProcess ? ["setpriv", "--bounding-set=-dac_override,-dac_read_search"] : [];

    /// <summary>A mount of its own, gone with its last process, as every user may have one who may be the root of a namespace.</summary>
    private static readonly string[] _inMounts = Environment.IsPrivilegedProcess ? ["unshare", "--mount"] : ["unshare", "--user", "--map-root-user", "--mount"];

    [Fact]
    public void A_full_disk_ends_the_soak_with_all_that_was_stored_and_it_is_resumed_where_there_is_room()
    {
        using var soaked = new SoakedBench();
        var disk = TestFolders.Create().FullName;
        var kept = Path.GetDirectoryName(soaked.Store)!;
        // Room for some cycles. What is on it then is copied before it goes.
        const string smallDisk = "disk=$1 kept=$2; shift 2; mount -t tmpfs -o size=420k none \"$disk\" || exit 99; \"$@\"; ended=$?; cp \"$disk\"/runs.db* \"$kept\"; exit $ended";
        using var run = ProgramRun.Start(
            [.. _inMounts, "sh", "-c", smallDisk, "sh", disk, kept], new Dictionary<string, string>(),
            ["soak", Repository.DomeProfile, "--adapter", $"serial:{soaked.Link}", "--store", Path.Combine(disk, "runs.db"), "--cycles", $"{Cycles}"]).WaitForEnd(5);
        Assert.Contains($"STOPPED  The disk of the run store {Path.Combine(disk, "runs.db")} is full.", run.Output, StringComparison.Ordinal);
        Assert.Contains("Free some space", run.Output, StringComparison.Ordinal);
        // What was found until then is told, with how to go on.
        Assert.Matches($"Verdict  all 6 channels worked in {soaked.Stored.Cycles} cycles?", run.Output);
        Assert.Contains($"--resume {soaked.Stored.Id}", run.Output, StringComparison.Ordinal);
        var stored = soaked.Stored;
        Assert.InRange(stored.Cycles, 1, Cycles - 1);
        stored.AssertCounts(stored.Cycles);
        using var resumed = soaked.Soak("--resume", stored.Id).WaitForEnd();
        var complete = soaked.Stored;
        Assert.Equal(complete.ExitCode, resumed.ExitCode);
        complete.AssertCounts(Cycles);
        // The cycle for which there was no room was driven in vain.
        soaked.AssertLines(cut: 1);
    }

    [Fact]
    public void A_store_that_vanishes_ends_the_soak_and_no_line_stays_on()
    {
        using var soaked = new SoakedBench();
        using var run = soaked.Soak("--cycles", $"{Cycles}");
        soaked.WaitForLineOfSecondCycle(run);
        File.Delete(soaked.Store);
        run.WaitForEnd(5);
        Assert.Contains($"STOPPED  The run store {soaked.Store} cannot be opened: it is not there any more", run.Output, StringComparison.Ordinal);
        Assert.Contains("--store", run.Output, StringComparison.Ordinal);
        Assert.Contains("Verdict  all 6 channels worked in 1 cycle.", run.Output, StringComparison.Ordinal);
        Assert.All(soaked.Bench.EndAndReadLines(), line => Assert.NotNull(line.To));
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void A_folder_that_cannot_be_written_is_told_before_anything_is_driven(bool storeIsThere)
    {
        var store = storeIsThere ? Made() : Path.Combine(TestFolders.Create().FullName, "runs.db");
        var folder = Path.GetDirectoryName(store)!;
        if (OperatingSystem.IsWindows())
            throw new PlatformNotSupportedException("The emulated bench needs Unix, and so do these tests.");
        File.SetUnixFileMode(folder, UnixFileMode.UserRead | UnixFileMode.UserExecute);
        try
        {
            AssertRefused(store, _heedingPermissions, folder);
        }
        finally
        {
            File.SetUnixFileMode(folder, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
        }
    }

    [Fact]
    public void A_damaged_store_is_left_as_it_is()
    {
        var store = Made();
        // The header is whole, and nothing behind it.
        using (var file = File.OpenWrite(store))
        {
            var garbage = new byte[file.Length - 100];
            new Random(20261128).NextBytes(garbage);
            file.Position = 100;
            file.Write(garbage);
        }
        AssertRefused(store, [], $"The run store {store} is damaged", "restore it from a backup");
    }

    [Fact]
    public void A_file_of_another_kind_is_left_as_it_is()
    {
        var store = Path.Combine(TestFolders.Create().FullName, "notes.txt");
        File.WriteAllText(store, "Card 7: isolator replaced, swept twice, all channels good.\n");
        AssertRefused(store, [], $"{store} is no run store but a file of another kind", "Name another store with --store");
    }

    [Fact]
    public void A_store_of_a_newer_version_is_left_as_it_is()
    {
        var store = Made();
        StoreFile.Change(store, "update store_schema set version = 1000");
        AssertRefused(store, [], $"The run store {store} was written by a newer testrig (version 1000", "Update testrig");
    }

    [Fact]
    public void A_database_of_another_program_is_left_as_it_is()
    {
        var store = Path.Combine(TestFolders.Create().FullName, "stock.db");
        File.Create(store).Dispose();
        StoreFile.Change(store, "create table stock (part text, number integer)");
        AssertRefused(store, [], $"{store} is no run store but a database of another program", "Name another store with --store");
    }

    /// <summary>A soak with it, and one that is to be resumed from it: neither drives anything, and the file is what it was.</summary>
    private static void AssertRefused(string store, string[] under, params string[] words)
    {
        var before = File.Exists(store) ? File.ReadAllBytes(store) : null;
        using var bench = EmulatedBench.Start();
        foreach (var asked in (string[][])[["--cycles", "1"], ["--resume", "some-run"]])
        {
            using var run = ProgramRun.Start(under, new Dictionary<string, string>(), ["soak", Repository.DomeProfile, "--adapter", bench.Adapter, "--store", store, .. asked]).WaitForEnd(5);
            Assert.All(words.Append("--store"), word => Assert.Contains(word, run.Error, StringComparison.Ordinal));
        }
        Assert.Equal(before, File.Exists(store) ? File.ReadAllBytes(store) : null);
        Assert.Empty(bench.EndAndReadLines());
    }

    /// <summary>A store with a run in it, in a folder of its own.</summary>
    private static string Made()
    {
        var store = Path.Combine(TestFolders.Create().FullName, "runs.db");
        using var run = ProgramRun.ToEnd("soak", Repository.DomeProfile, "--adapter", "simulated", "--cycles", "2", "--store", store).WaitForEnd(0);
        return store;
    }
}
