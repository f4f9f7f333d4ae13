using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>The small electrical model behind the simulated bench.</summary>
public class NetTests
{
    [Fact]
    public void A_net_that_nothing_drives_has_no_voltage() => Assert.Null(new Net().Volts);

    [Fact]
    public void A_divider_divides()
    {
        var net = new Net();
        net.Join(new(12, 10_000));
        net.Join(new(0, 147_000));
        Assert.Equal(12.0 * 147 / 157, net.Volts!.Value, 9);
    }

    [Fact]
    public void A_high_ttl_output_does_not_sink_what_pulls_it_higher()
    {
        var net = new Net();
        net.Join(new(3.4, 110, Flow.IntoNet));
        net.Join(new(3.85, 220, Flow.IntoNet));
        Assert.Equal(3.85, net.Volts!.Value, 9);
    }

    [Fact]
    public void A_low_wins_where_two_ttl_outputs_are_bridged()
    {
        var net = new Net();
        net.Join(new(3.4, 110, Flow.IntoNet));
        net.Join(new(0.25, 6));
        Assert.InRange(net.Volts!.Value, 0, LevelLimits.Ttl.LowMaximum.Value); // wired low: common practice
    }

    [Fact]
    public void A_branch_that_lets_go_leaves_the_net_to_the_others()
    {
        var net = new Net();
        var contact = net.Join(new(0, 0.5));
        net.Join(new(5, 4_700));
        Assert.InRange(net.Volts!.Value, 0, 0.01);
        contact.Set(null);
        Assert.Equal(5, net.Volts!.Value, 9);
    }

    [Fact]
    public void An_open_ls_ttl_input_reads_high() // common practice
    {
        var part = SimulatedRun.Dome.Parts.OfType<BufferPart>().First();
        var (time, input, output) = (new EventQueue(), new Net(), new Net());
        var section = new BufferSectionModel(time, part, 5, input, output, SectionFault.None, new(1));
        section.Connect();
        Assert.InRange(output.Volts!.Value, 0, 0.5);
        var pull = input.Join(new(0, 100));
        time.RunUntil(1_000_000);
        Assert.InRange(output.Volts!.Value, 2.4, 5);
        pull.Set(null);
        time.RunUntil(2_000_000);
        Assert.InRange(output.Volts!.Value, 0, 0.5);
    }

    [Fact]
    public void An_inverter_with_its_output_on_its_input_settles_at_its_threshold()
    {
        var part = SimulatedRun.Dome.Parts.OfType<BufferPart>().First();
        var (time, net) = (new EventQueue(), new Net());
        var section = new BufferSectionModel(time, part, 5, net, net, SectionFault.None, new(1));
        section.Connect();
        net.Join(new(0, 1_000));
        time.RunUntil(100_000_000);
        Assert.InRange(net.Volts!.Value, 0.8, 2.0); // VIL and VIH of TTL: FAQ 4902 quoting TI SN74ALS1004
        Assert.Equal(long.MaxValue, time.NextAt);
    }
}
