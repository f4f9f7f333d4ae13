using TestRig.Bench.Files;
using TestRig.Bench.Serving;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Serving;

/// <summary>Whatever is wrong with the file: nothing is armed.</summary>
public class ArmingFileTests
{
    private static readonly DateTimeOffset _now = new(2026, 3, 1, 12, 0, 0, TimeSpan.FromHours(1));

    private readonly string _folder = Path.Combine(TestFolders.Create().FullName, "armed");

    private ArmingFile OfDome => new(_folder, "dome");

    private string Written => Path.Combine(_folder, "dome.armed.json");

    [Fact]
    public void What_was_armed_is_read_again_whole()
    {
        var arming = new Arming("dome", "anna", _now, _now.AddHours(12)) { AllowMotion = true, MotorIsOff = true, NoStopInput = true };
        OfDome.Arm(arming);
        Assert.Equal(arming, OfDome.Read(_now.AddHours(1), out var problem));
        Assert.Null(problem);
    }

    [Fact]
    public void Whoever_says_nothing_of_motion_has_allowed_none()
    {
        OfDome.Arm(new("dome", "anna", _now, _now.AddHours(12)));
        var read = OfDome.Read(_now, out _)!;
        Assert.False(read.AllowMotion || read.MotorIsOff || read.NoStopInput);
    }

    [Fact]
    public void It_holds_from_its_instant_until_before_its_end()
    {
        OfDome.Arm(new("dome", "anna", _now, _now.AddHours(1)));
        Assert.Null(OfDome.Read(_now.AddTicks(-1), out var early));
        Assert.NotNull(OfDome.Read(_now, out _));
        Assert.NotNull(OfDome.Read(_now.AddHours(1).AddTicks(-1), out _));
        Assert.Null(OfDome.Read(_now.AddHours(1), out var late));
        Assert.Equal((null, null), (early, late));
    }

    [Fact]
    public void A_bench_that_nobody_armed_is_not_and_nothing_is_wrong()
    {
        Assert.Null(OfDome.Read(_now, out var problem));
        Assert.Null(problem);
        Assert.False(OfDome.Disarm());
    }

    [Fact]
    public void Disarmed_it_is_armed_no_more()
    {
        OfDome.Arm(new("dome", "anna", _now, _now.AddHours(1)));
        Assert.True(OfDome.Disarm());
        Assert.Null(OfDome.Read(_now, out _));
        Assert.False(OfDome.Disarm());
    }

    [Fact]
    public void One_bench_armed_arms_no_other()
    {
        OfDome.Arm(new("dome", "anna", _now, _now.AddHours(1)));
        Assert.Null(new ArmingFile(_folder, "tide").Read(_now, out var problem));
        Assert.Null(problem);
        // A copy under its name neither.
        File.Copy(Written, Path.Combine(_folder, "tide.armed.json"));
        Assert.Null(new ArmingFile(_folder, "tide").Read(_now, out problem));
        Assert.Contains("arms another bench", problem, StringComparison.Ordinal);
    }

    [Fact]
    public void It_cannot_be_armed_for_longer_than_a_week_or_for_no_time_or_for_another_bench()
    {
        Assert.Throws<ArgumentException>(() => OfDome.Arm(new("dome", "anna", _now, _now + ArmingFile.Longest + TimeSpan.FromTicks(1))));
        Assert.Throws<ArgumentException>(() => OfDome.Arm(new("dome", "anna", _now, _now)));
        Assert.Throws<ArgumentException>(() => OfDome.Arm(new("tide", "anna", _now, _now.AddHours(1))));
        Assert.False(Directory.Exists(_folder));
        OfDome.Arm(new("dome", "anna", _now, _now + ArmingFile.Longest));
        Assert.NotNull(OfDome.Read(_now, out _));
    }

    [Theory]
    [InlineData("", "cannot be read")]
    [InlineData("{", "cannot be read")]
    [InlineData("armed", "cannot be read")]
    [InlineData("[]", "cannot be read")]
    [InlineData("""{"bench":"dome","by":"anna","at":"soon","until":"late"}""", "cannot be read")]
    [InlineData("null", "arms another bench, or for too long")]
    [InlineData("{}", "arms another bench, or for too long")]
    [InlineData("""{"bench":"dome","by":"anna","at":"2026-03-01T12:00:00+01:00","until":"2026-03-09T12:00:01+01:00"}""", "arms another bench, or for too long")]
    public void What_makes_no_sense_arms_nothing_and_says_what_to_do(string content, string problem)
    {
        Directory.CreateDirectory(_folder);
        File.WriteAllText(Written, content);
        Assert.Null(OfDome.Read(_now, out var told));
        Assert.StartsWith(Written, told, StringComparison.Ordinal);
        Assert.Contains(problem, told, StringComparison.Ordinal);
        Assert.Matches("[Aa]rm it again", told);
    }

    /// <summary>An end without a beginning, and the other way round: neither arms from the beginning of time.</summary>
    [Theory]
    [InlineData("""{"bench":"dome","by":"anna","until":"2026-03-01T13:00:00+01:00"}""")]
    [InlineData("""{"bench":"dome","by":"anna","at":"2026-03-01T11:00:00+01:00"}""")]
    public void Half_of_it_arms_nothing(string content)
    {
        Directory.CreateDirectory(_folder);
        File.WriteAllText(Written, content);
        Assert.Null(OfDome.Read(_now, out _));
    }

    [Fact]
    public void The_file_is_for_its_owner_to_write_and_nobody_else_than_its_group_to_read()
    {
        if (OperatingSystem.IsWindows())
            return;
        OfDome.Arm(new("dome", "anna", _now, _now.AddHours(1)));
        Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.GroupRead, File.GetUnixFileMode(Written));
    }

    [Fact]
    public void Where_the_folder_cannot_be_made_the_error_names_the_remedy()
    {
        File.WriteAllText(_folder, "a file stands where the folder belongs");
        var refused = Assert.Throws<RunStorageException>(() => OfDome.Arm(new("dome", "anna", _now, _now.AddHours(1))));
        Assert.Contains("another folder with 'state'", refused.Message, StringComparison.Ordinal);
        Assert.Null(OfDome.Read(_now, out _));
    }
}
