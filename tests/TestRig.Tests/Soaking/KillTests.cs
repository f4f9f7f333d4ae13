using System.Globalization;
using Xunit.Abstractions;

namespace TestRig.Tests.Soaking;

/// <summary>Here a few kills; tools/kill-campaign makes 200 and more.</summary>
public class KillTests(ITestOutputHelper output)
{
    /// <summary>So many kills; from what seed; and the file that tells how it goes: set by tools/kill-campaign.</summary>
    private const string CountVariable = "TESTRIG_KILLS", SeedVariable = "TESTRIG_KILLS_SEED", ReportVariable = "TESTRIG_KILLS_REPORT";

    private const int CountInCi = 15;

    [Fact]
    public void A_soak_that_is_killed_at_random_instants_and_resumed_loses_no_cycle_counts_none_twice_and_leaves_no_line_on()
    {
        using var campaign = new KillCampaign(Number(SeedVariable, 1), Tell);
        campaign.Run(Number(CountVariable, CountInCi));
    }

    private void Tell(string line)
    {
        output.WriteLine(line);
        if (Environment.GetEnvironmentVariable(ReportVariable) is { Length: > 0 } file)
            File.AppendAllText(file, line + "\n");
    }

    private static int Number(string variable, int otherwise) =>
        Environment.GetEnvironmentVariable(variable) is { Length: > 0 } written ? int.Parse(written, CultureInfo.InvariantCulture) : otherwise;
}
