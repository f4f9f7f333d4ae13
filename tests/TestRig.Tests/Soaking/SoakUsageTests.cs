using TestRig.Tests.Shared;

namespace TestRig.Tests.Soaking;

/// <summary>Soaks that are not begun, and why. On the simulated bench: nothing is driven.</summary>
public class SoakUsageTests
{
    private readonly string _store = Path.Combine(TestFolders.Create().FullName, "runs.db");

    [Theory]
    [InlineData("Say how long")]
    [InlineData("exclude each other", "--cycles", "3", "--for", "1h")]
    [InlineData("leave --cycles out", "--cycles", "3", "--resume", "some-run")]
    [InlineData("There is no run 'some-run'", "--resume", "some-run")]
    public void What_cannot_be_meant_exits_2_and_says_what_to_write(string words, params string[] options)
    {
        using var run = Soak(Repository.DomeProfile, options).WaitForEnd(2);
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void A_run_that_has_come_to_its_end_is_not_gone_on_with()
    {
        using var run = Soak(Repository.DomeProfile, "--cycles", "2").WaitForEnd(0);
        var stored = Assert.Single(StoreReading.Of(_store).Runs);
        using var again = Soak(Repository.DomeProfile, "--resume", stored.Id).WaitForEnd(2);
        Assert.Contains($"Run {stored.Id} has come to its end", again.Error, StringComparison.Ordinal);
        Assert.Single(StoreReading.Of(_store).Runs).AssertCounts(stored.Cycles);
    }

    [Fact]
    public void A_run_is_not_gone_on_with_by_another_profile_than_it_was_begun_with()
    {
        var profile = Path.Combine(TestFolders.Create().FullName, "card.yaml");
        File.Copy(Repository.DomeProfile, profile);
        using var run = Soak(profile, "--cycles", "1000000").WaitFor("progress 1 cycle");
        run.Interrupt();
        run.WaitForEnd(6);
        var stored = Assert.Single(StoreReading.Of(_store).Runs);
        File.AppendAllText(profile, "# measured again\n");
        using var changed = Soak(profile, "--resume", stored.Id).WaitForEnd(2);
        Assert.Contains("is not the profile with which run", changed.Error, StringComparison.Ordinal);
        Assert.Contains("changed since", changed.Error, StringComparison.Ordinal);
        Assert.Single(StoreReading.Of(_store).Runs).AssertCounts(stored.Cycles);
    }

    private ProgramRun Soak(string profile, params string[] options) => ProgramRun.Start(["soak", profile, "--adapter", "simulated", "--store", _store, .. options]);
}
