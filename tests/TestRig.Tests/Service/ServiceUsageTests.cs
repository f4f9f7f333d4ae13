using TestRig.Tests.Shared;

namespace TestRig.Tests.Service;

/// <summary>serve, arm, disarm and token where they were mistyped: exit code 2, the remedy named, and nothing begun, armed or made.</summary>
public sealed class ServiceUsageTests
{
    private readonly string _folder = TestFolders.Create().FullName;

    [Theory]
    [InlineData("BENCHES", "serve")]
    [InlineData("missing.yaml", "serve", "missing.yaml")]
    [InlineData("'--port'", "serve", "BENCHES", "--port", "80")]
    [InlineData("BENCH", "arm", "BENCHES")]
    [InlineData("'--for'", "arm", "BENCHES", "dome")]
    [InlineData("--for: 'soon' is not a time; write", "arm", "BENCHES", "dome", "--for", "soon")]
    [InlineData("--for: '0 h' is no time at all", "arm", "BENCHES", "dome", "--for", "0 h")]
    [InlineData("--for: '-1h' is below zero", "arm", "BENCHES", "dome", "--for=-1h")]
    [InlineData("--for is longer than 7 days", "arm", "BENCHES", "dome", "--for", "169h")]
    [InlineData("did you mean 'dome'?", "arm", "BENCHES", "dom", "--for", "1h")]
    [InlineData("its 'motion' in", "arm", "BENCHES", "dome", "--for", "1h", "--allow-motion")]
    [InlineData("missing-profile.yaml", "arm", "BENCHES", "broken", "--for", "1h")]
    [InlineData("There is no bench 'tide': the benches are", "disarm", "BENCHES", "tide")]
    [InlineData("BENCH", "disarm", "BENCHES")]
    [InlineData("NAME", "token", "create", "BENCHES")]
    [InlineData("cannot be a token's name. Use letters", "token", "create", "BENCHES", "anna bell")]
    [InlineData("cannot be a token's name. Use letters", "token", "create", "BENCHES", "")]
    [InlineData("'all'", "token", "create", "BENCHES", "anna", "--rights", "all")]
    [InlineData("--expires-in: 'never' is not a time; write", "token", "create", "BENCHES", "anna", "--expires-in", "never")]
    [InlineData("--expires-in: '10000000 h' is mo", "token", "create", "BENCHES", "anna", "--expires-in", "10000000 h")]
    [InlineData("There is no token 'anna'", "token", "revoke", "BENCHES", "anna")]
    [InlineData("missing.yaml", "token", "list", "missing.yaml")]
    public void A_mistake_exits_2_and_is_named(string words, params string[] arguments)
    {
        var benches = WriteBenches();
        using var run = ProgramRun.ToEnd([.. arguments.Select(argument => argument == "BENCHES" ? benches : argument)]);
        Assert.Equal(2, run.ExitCode);
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", run.Error, StringComparison.Ordinal);
        Assert.Empty(run.Output);
        Assert.False(Path.Exists(Path.Combine(_folder, "service", "armed")));
    }

    [Fact]
    public void The_name_of_a_token_is_given_once_and_a_misspelt_one_is_guessed()
    {
        var benches = WriteBenches();
        ServiceRun.Command("token", "create", benches, "anna");
        using var again = ProgramRun.ToEnd("token", "create", benches, "anna");
        Assert.Equal(2, again.ExitCode);
        Assert.Contains("There is a token 'anna' already, or was. Give the new one another name", again.Error, StringComparison.Ordinal);
        using var misspelt = ProgramRun.ToEnd("token", "revoke", benches, "ana");
        Assert.Equal(2, misspelt.ExitCode);
        Assert.Contains("did you mean 'anna'?", misspelt.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void Disarming_a_bench_that_was_never_armed_says_so_and_is_no_error() =>
        Assert.Contains("dome was not armed", ServiceRun.Command("disarm", WriteBenches(), "dome"), StringComparison.Ordinal);

    [Fact]
    public void Who_armed_a_bench_is_the_person_also_where_they_became_the_services_user()
    {
        var benches = WriteBenches();
        using var arm = ProgramRun.Start(new Dictionary<string, string> { ["SUDO_USER"] = "berta" }, ["arm", benches, "dome", "--for", "1h"]).WaitForEnd(0);
        Assert.Contains("\"by\": \"berta\"", File.ReadAllText(Path.Combine(_folder, "service", "armed", "dome.armed.json")), StringComparison.Ordinal);
        Assert.Contains("logic only, nothing may move", arm.Output, StringComparison.Ordinal);
    }

    [Fact]
    public void An_address_that_is_taken_is_named_with_a_remedy()
    {
        using var first = ServiceRun.Start();
        var benches = WriteBenches($"listen: http://127.0.0.1:{first.Address.Port}");
        using var second = ProgramRun.ToEnd("serve", benches);
        Assert.Equal(2, second.ExitCode);
        Assert.Contains($"Choose another address with 'listen' in {benches}", second.Error, StringComparison.Ordinal);
    }

    private string WriteBenches(string top = "")
    {
        var file = Path.Combine(_folder, "benches.yaml");
        File.WriteAllText(file, $$"""
            format: testrig-benches/1
            {{top}}
            benches:
              dome: { adapter: simulated, profile: {{Repository.DomeProfile}} }
              broken: { adapter: simulated, profile: missing-profile.yaml }
            """);
        return file;
    }
}
