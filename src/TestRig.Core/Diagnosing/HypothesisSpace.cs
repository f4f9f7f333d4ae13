using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Core.Diagnosing;

/// <summary>Every single fault that the model of a board knows.</summary>
internal static class HypothesisSpace
{
    // Relative weights, common practice.
    private const double Isolator = 1.0, Relay = 1.0, Driver = 0.8, Buffer = 0.3, WholePackage = 0.05, BridgeOfNeighbours = 0.02, Lead = 0.4, LineLead = 0.3, Receiver = 0.05;

    /// <summary>Probability that a pin follows the lead check though its lead is whole and its net driven.</summary>
    private const double FollowsForNoReason = 0.02;

    private const string WithoutSupply = "whole package: its supply, ground or enable, or the package itself";

    private const string WeakOutputs = "whole package: weak outputs, so its supply or ground, or the package itself";

    private static readonly StateSet _good = StateSet.Of(PointState.Good);
    private static readonly StateSet _idle = StateSet.Of(PointState.StaysIdle);
    private static readonly StateSet _active = StateSet.Of(PointState.StaysActive);
    private static readonly StateSet _either = StateSet.Of(PointState.StaysIdle, PointState.StaysActive);
    private static readonly StateSet _late = StateSet.Of(PointState.Late);
    private static readonly StateSet _weak = StateSet.Of(PointState.Weak);
    private static readonly StateSet _wrongWay = StateSet.Of(PointState.WrongWay);
    private static readonly StateSet _bouncing = StateSet.Of(PointState.Bouncing);
    private static readonly StateSet _strange = StateSet.Of(PointState.WrongWay, PointState.Bouncing, PointState.Weak);
    private static readonly StateSet _behindWeak = StateSet.Of(PointState.Good, PointState.StaysIdle, PointState.StaysActive, PointState.Bouncing, PointState.Late);

    public static IEnumerable<Hypothesis> Of(Board board)
    {
        foreach (var channel in board.Channels)
        {
            yield return LineOpen(channel);
            for (var stage = 0; stage < channel.Stages.Length; stage++)
            {
                foreach (var hypothesis in OfSection(channel, stage))
                    yield return hypothesis;
                if (channel.Stages[stage].Output is { AdapterPin: not null } output)
                {
                    yield return LeadOpen(channel, stage, output);
                    yield return LeadElsewhere(channel, stage, output);
                }
            }
        }
        for (var first = 0; first < board.Channels.Length; first++)
        {
            for (var second = first + 1; second < board.Channels.Length; second++)
            {
                foreach (var bridge in Bridges(board.Channels[first], board.Channels[second]))
                    yield return bridge;
            }
        }
        foreach (var part in board.Parts)
        {
            if (Sections(board, part).Length < 2)
                continue;
            // Without its supply a package may leave its nets at either level, and what is behind may take that for either; but all its sections alike.
            foreach (var at in new[] { _idle, _active })
            {
                yield return Package(part, FaultMode.WholePackage, WithoutSupply, WholePackage, at, _idle);
                yield return Package(part, FaultMode.WholePackage, WithoutSupply, WholePackage, at, _active);
                // Undriven nets near a threshold: not all receivers take them for the same.
                yield return Package(part, FaultMode.WholePackage, WithoutSupply, WholePackage * 0.25, at, _either);
            }
            yield return Package(part, FaultMode.WholePackage, WeakOutputs, WholePackage * 0.5, _weak, _good);
            yield return Package(part, FaultMode.WholePackage, WeakOutputs, WholePackage * 0.2, _weak, _behindWeak);
            yield return Package(part, FaultMode.Inverted, "whole package inverted: wrong part fitted?", WholePackage, _wrongWay, _wrongWay);
        }
    }

    private static ImmutableArray<Stage> Sections(Board board, Part part) =>
        [.. board.Channels.SelectMany(channel => channel.Stages).Where(stage => stage.Part == part)];

    private static IEnumerable<Hypothesis> OfSection(Channel channel, int stage)
    {
        var section = channel.Stages[stage];
        var part = section.Part;
        var isBuffer = part is BufferPart;
        var weight = part switch { IsolatorPart => Isolator, RelayPart => Relay, DriverPart => Driver, _ => Buffer };
        // A package with several sections is named with the section; a single transistor is not.
        var where = isBuffer ? $"section {section.Name[(part.Name.Length + 1)..]}: " : "";
        string Stays(Level line) => $"output stays {channel.LevelAfter(stage, line).Word()}";

        yield return Section(channel, stage, part.Name, FaultMode.Dead, where + part switch { BufferPart => Stays(channel.Line.Idle), DriverPart => "never conducts, or too weakly", RelayPart => "its contact never closes", _ => "never conducts" }, weight, _idle, _idle, mayBeUndriven: true);
        yield return Section(channel, stage, part.Name, FaultMode.StuckActive, where + part switch { BufferPart => Stays(channel.Line.Active), RelayPart => "its contact is always closed", _ => "conducts all the time" }, weight * 0.5, _active, _active);
        yield return Section(channel, stage, part.Name, FaultMode.Slow, where + "too slow", weight * 0.5, _late, _good);
        // The receiver behind a weak level mostly still takes it right; when it does not, anything may follow.
        yield return Section(channel, stage, part.Name, FaultMode.Weak, where + "weak output", weight * 0.3, _weak, _good);
        yield return Section(channel, stage, part.Name, FaultMode.Weak, where + "weak output", weight * 0.1, _weak, _behindWeak);
        yield return Section(channel, stage, part.Name, FaultMode.Inverted, where + "output inverted: wrong part fitted?", weight * 0.05, _wrongWay, _wrongWay);
        yield return Section(channel, stage, part.Name, FaultMode.Unsteady, where + (part is RelayPart ? "its contact bounces" : "output does not settle, or is bridged to a net behind it"), weight * 0.2, _bouncing, _bouncing);
        if (stage + 1 < channel.Stages.Length)
        {
            var receiver = channel.Stages[stage + 1];
            yield return Section(channel, stage, receiver.Part.Name, FaultMode.HoldsInput, $"its input holds {section.OutputName}", Receiver, _either, _either);
        }
    }

    /// <summary>A fault of one section: good in front of it, one state at its output, one behind.</summary>
    private static Hypothesis Section(
        Channel faulty, int stage, string item, FaultMode mode, string words, double prior, StateSet at, StateSet behind, bool mayBeUndriven = false) => new(
        item,
        mode,
        words,
        prior,
        (channel, index) => channel != faulty || index < stage ? _good : index == stage ? at : behind,
        (channel, index, lead) => lead == LeadState.Follows
            ? mayBeUndriven && channel == faulty && index == stage ? 0.3 : FollowsForNoReason
            : 1);

    private static Hypothesis LineOpen(Channel faulty) => new(
        $"lead to {faulty.DrivenAt.Name}",
        FaultMode.LeadOpen,
        $"line '{faulty.Line.Name}' does not reach the board: its lead is open, or its net there is held",
        LineLead,
        (channel, index) => channel != faulty || index < 0 ? _good : _idle,
        // A pin that idled by the board's own resistor before it was driven has most probably a whole lead.
        (channel, index, lead) => lead switch
        {
            LeadState.Driven when channel == faulty && index < 0 => 0.2,
            LeadState.Follows => FollowsForNoReason,
            _ => 1,
        });

    private static Hypothesis LeadOpen(Channel faulty, int stage, TestPoint point)
    {
        // Behind a divider an open lead reads low: the lower resistor sees to that.
        var idleIsLow = faulty.LevelAfter(stage, faulty.Line.Idle) == Level.Low;
        var open = point.Divider is null ? _either : idleIsLow ? _idle : _active;
        return new(
            $"lead at {point.Name}",
            FaultMode.LeadOpen,
            "open, or clipped elsewhere",
            Lead,
            (channel, index) => channel == faulty && index == stage ? open : _good,
            (channel, index, lead) => channel == faulty && index == stage
                ? lead switch { LeadState.Follows => 0.95, LeadState.Driven => 0.05, _ => 1 }
                : lead == LeadState.Follows ? FollowsForNoReason : 1);
    }

    /// <summary>
    /// The same nets of two channels joined, where the level that wins is the idle one: neither channel gets through alone. Where the other level wins, both
    /// channels move together, which <see cref="CrossingDiagnosis"/> explains.
    /// </summary>
    private static IEnumerable<Hypothesis> Bridges(Channel first, Channel second)
    {
        // A line's own pin goes with its driver though the net behind the series resistor does not.
        yield return Bridge(first, second, -1, first.DrivenAt.Name, second.DrivenAt.Name, BridgePrior(first, second, -1));
        for (var stage = 0; stage < Math.Min(first.Stages.Length, second.Stages.Length); stage++)
        {
            if (Wins(first.Stages[stage].Part) == first.LevelAfter(stage, first.Line.Idle) && Wins(second.Stages[stage].Part) == second.LevelAfter(stage, second.Line.Idle))
                yield return Bridge(first, second, stage, first.Stages[stage].OutputName, second.Stages[stage].OutputName, BridgePrior(first, second, stage));
        }
    }

    /// <summary>Pins of one package are neighbours; nets elsewhere are joined more rarely.</summary>
    private static double BridgePrior(Channel first, Channel second, int stage) =>
        first.Stages[Math.Max(stage, 0)].Part == second.Stages[Math.Max(stage, 0)].Part ? BridgeOfNeighbours : BridgeOfNeighbours * 0.25;

    /// <summary>The level of an output that is stronger: logic outputs, open collectors and low-side drivers pull down; emitters and high-side drivers pull up.</summary>
    private static Level Wins(Part part) => part switch
    {
        IsolatorPart { TakenAtCollector: false } => Level.High,
        DriverPart driver when driver.DriverType.HighSide => Level.High,
        _ => Level.Low,
    };

    private static Hypothesis Bridge(Channel first, Channel second, int stage, string one, string other, double prior) => new(
        $"bridge between {one} and {other}",
        FaultMode.Bridged,
        "the nets are joined, and each holds the other idle",
        prior,
        (channel, index) => (channel != first && channel != second) || index < Math.Max(stage, 0) ? _good : _idle,
        (_, _, lead) => lead == LeadState.Follows ? FollowsForNoReason : 1);

    /// <summary>Two faults at once in the same channel: what is wrong under one of them is wrong.</summary>
    public static IEnumerable<Hypothesis> Pairs(IReadOnlyList<Hypothesis> singles)
    {
        for (var i = 0; i < singles.Count; i++)
        {
            for (var j = i + 1; j < singles.Count; j++)
            {
                var (one, other) = (singles[i], singles[j]);
                if (one.Item == other.Item)
                    continue;
                yield return new(
                    $"{one.Item} and {other.Item}",
                    one.Mode,
                    $"{one.Words}; and {other.Words}",
                    one.Prior * other.Prior,
                    (channel, index) => (one.Predict(channel, index), other.Predict(channel, index)) switch
                    {
                        var (state, beside) when state == _good => beside,
                        var (state, beside) when beside == _good => state,
                        var (state, beside) => new(state.Bits | beside.Bits),
                    },
                    (channel, index, lead) => lead == LeadState.Follows
                        ? Math.Max(one.LeadLikelihood(channel, index, lead), other.LeadLikelihood(channel, index, lead))
                        : Math.Min(one.LeadLikelihood(channel, index, lead), other.LeadLikelihood(channel, index, lead)));
            }
        }
    }

    /// <summary>A lead that shows another point's doing, or what an open end picks up.</summary>
    private static Hypothesis LeadElsewhere(Channel faulty, int stage, TestPoint point) => new(
        $"lead at {point.Name}",
        FaultMode.LeadOpen,
        "clipped elsewhere, or open",
        Lead * 0.25,
        (channel, index) => channel == faulty && index == stage ? _strange : _good,
        (channel, index, lead) => (channel == faulty && index == stage, lead) switch
        {
            (true, LeadState.Follows) => 0.5,
            // What it is clipped to drives it, which takes a mistake of its own; and behind a divider an open lead picks up nothing.
            (true, _) => 0.1,
            (false, LeadState.Follows) => FollowsForNoReason,
            _ => 1,
        });

    /// <summary>A fault of a whole package: all its sections alike.</summary>
    private static Hypothesis Package(Part part, FaultMode mode, string words, double prior, StateSet at, StateSet behind) => new(
        part.Name,
        mode,
        words,
        prior,
        (channel, index) =>
        {
            for (var stage = 0; stage < channel.Stages.Length; stage++)
            {
                if (channel.Stages[stage].Part == part)
                    return index < stage ? _good : index == stage ? at : behind;
            }
            return _good;
        },
        (channel, index, lead) => lead != LeadState.Follows ? 1
            : index >= 0 && channel.Stages[index].Part == part ? 0.5 : FollowsForNoReason);
}
