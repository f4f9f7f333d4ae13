using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using TestRig.Bench.Files;
using TestRig.Core.Boards;
using TestRig.Core.Learning;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Learning;

/// <summary>
/// A draft of a profile: what pulses told of a board, and a comment "ASK:" for whatever a person has to answer. Parts are not known, so that whatever lies between two points is a stand-in that follows or
/// inverts, and its output, which is what the lead is clipped to, is named after the point.
/// </summary>
/// <param name="points">What was known before.</param>
/// <param name="measuredBy">"with ATmega2560".</param>
/// <param name="onTime">How long the pulses of a line were.</param>
public sealed class DraftProfile(PointsFile points, DraftFindings findings, string measuredBy, Func<Line, Duration> onTime)
{
    private const string Output = "out";

    /// <summary>A delay that is not known to be a good part's is given as much again (as for a figure of a data sheet that is typical only: common practice).</summary>
    private const int LatestOverMeasured = 2;

    private readonly StringBuilder _text = new();

    /// <summary>Questions that no pulse can answer: each with the word that the draft's comment begins with.</summary>
    public static ImmutableArray<string> Standing { get; } =
    [
        "Which supplies are there, of how many volts, and where are they sensed? The draft knows only how high each point can go.",
        "Which grounds does the board isolate? A lead to a point of such a ground bridges the isolation, and a profile has to say why that does no harm.",
        "Which parts are they? The type of each stand-in 'unknown-…', and the pins that a command enters and leaves by; then its windows follow from its data.",
        "What moves, and from which supply? The draft takes each line for one that moves something, and a motor supply that nothing senses.",
        "How is the board's own controller disabled, and where would it show?",
    ];

    /// <summary>True when at least one line has points of its own: without a channel there is no profile, only questions.</summary>
    public bool HasChannel => findings.Chains.Any(chain => !chain.Answers.IsEmpty);

    public string Write()
    {
        Say($"# Draft of a profile, made from brief pulses on each line {measuredBy}. What it says of points, polarities and delays was seen; what");
        Say("# begins with ASK is for a person to answer. It is no profile of a good board until somebody has.");
        foreach (var question in Standing)
            Say($"# ASK: {question}");
        Say("");
        Say($"format: {ProfileReader.Format}");
        Say("");
        Say($"board: {{ name: {Quoted(points.Board.Name + " (draft)")} }}");
        if (points.Board.Controller is { SensedAt: null } controller)
            Say($"controller: {{ disabled-by: {Quoted(controller.DisabledBy)} }}");
        Supplies();
        Parts();
        Lines();
        Multiplexers();
        TestPoints();
        Stops();
        Channels();
        return _text.ToString();
    }

    private void Supplies()
    {
        Section("supplies", "As high as the points can go by the file of points; their true names and values are not known.");
        foreach (var volts in points.Clipped.Select(PointsFile.HighestAt).Distinct().OrderBy(volts => volts.Value))
            Say($"  {SupplyFor(volts)}: {{ volts: {Number(volts.Value)} V ± 0 % }}");
        Say($"  {PointsReader.MotorSupply}: {{ volts: 24 V ± 10 %, motion: true }} # ASK: a placeholder");
    }

    private void Parts()
    {
        Section("parts", "One stand-in for each point that answers one line alone. ASK: what are they?");
        foreach (var chain in findings.Chains)
        {
            var before = chain.Line.Active;
            foreach (var answer in chain.Answers)
            {
                Say($"  {answer.Point}: {{ type: unknown-{(answer.WhileOn == before ? "following" : "inverting")}, supply: {SupplyFor(HighestAt(answer.Point))} }}");
                before = answer.WhileOn;
            }
        }
    }

    private void Lines()
    {
        Section("lines", "Each idled by itself while nothing drove it. ASK: what holds it there, and does it move anything?");
        foreach (var line in points.Board.Lines)
        {
            var held = line.Idle == Level.High ? "floats-to: high" : "held-low-by: the board";
            Say($"  {line.Name}: {{ adapter: {line.AdapterPin}, idle: {line.Idle.Word()}, {held}, motion: true, longest-on: {WindowText.Exactly(line.LongestOn)}, rest: {WindowText.Exactly(line.Rest)}{Series(line.Series, Line.UsualSeries)} }}");
        }
        if (points.Board.KeptApart.IsEmpty)
            return;
        Section("keep-apart", null);
        foreach (var (first, second) in points.Board.KeptApart)
            Say($"  - [{first.Name}, {second.Name}]");
    }

    private void Multiplexers()
    {
        if (points.Board.Multiplexers.IsEmpty)
            return;
        Section("multiplexers", null);
        foreach (var multiplexer in points.Board.Multiplexers)
            Say($"  {multiplexer.Name}: {{ type: {multiplexer.Type.Name}, common: {multiplexer.CommonPin}, select: [{string.Join(", ", multiplexer.SelectPins)}] }}");
    }

    private void TestPoints()
    {
        Section("test-points", "The pins of the lines, the outputs of the stand-ins, and the points that answer no line, or more than one.");
        foreach (var chain in findings.Chains.Where(chain => !chain.Answers.IsEmpty))
            Say($"  {points.DrivenAt[chain.Line.Name].Name}: {{ adapter: {chain.Line.AdapterPin} }}");
        var answers = findings.Chains.SelectMany(chain => chain.Answers).Select(answer => answer.Point).ToHashSet();
        foreach (var point in points.Clipped)
        {
            var lead = $"adapter: {point.LeadEnd}{(point.Divider is { } divider ? $", divider: {Ohms(divider.Upper)} / {Ohms(divider.Lower)} ± {Number(divider.Tolerance * 100)} %" : Series(point.Series, TestPoint.UsualSeries))}";
            foreach (var question in findings.Questions.Where(question => question.Topic is not (DraftTopic.Order or DraftTopic.Silent) && points.Clipped.First(known => question.Subjects.Contains(known.Name)) == point))
                Say($"  # ASK: {question.Words}");
            Say(answers.Contains(point.Name) ? $"  {point.Name}.{Output}: {{ {lead} }}" : $"  {point.Name}: {{ {lead}, supply: {SupplyFor(PointsFile.HighestAt(point))} }}");
        }
    }

    private void Stops()
    {
        if (points.Board.Stops.IsEmpty)
            return;
        Section("stops", null);
        foreach (var stop in points.Board.Stops)
            Say($"  {stop.Point.Name}: {{ goes: {stop.StopsAt.Word()}, ends: {(stop.EndsAll(points.Board) ? ProfileKeys.AllLines : $"[{string.Join(", ", stop.Lines.Select(line => line.Name))}]")} }}");
    }

    private void Channels()
    {
        Section("channels", "In the order in which the points answered.");
        foreach (var chain in findings.Chains)
        {
            if (chain != findings.Chains[0])
                Say("");
            foreach (var question in findings.Questions.Where(question => question.Topic is DraftTopic.Order or DraftTopic.Silent && question.Subjects[0] == chain.Line.Name))
                Say($"  # ASK: {question.Words}");
            if (!chain.Answers.IsEmpty)
                Channel(chain);
        }
    }

    private void Channel(DraftChain chain)
    {
        Say($"  {chain.Line.Name}:");
        Say($"    drive: {chain.Line.Name} at {points.DrivenAt[chain.Line.Name].Name}");
        Say($"    path: [ {string.Join(", ", chain.Answers.Select(answer => $"{answer.Point} in>{Output}"))} ]");
        Say($"    exercise: {{ motion-on: {WindowText.Exactly(onTime(chain.Line))} }} # ASK: how long may it move?");
        Say("    expect:");
        foreach (var (answer, (on, off)) in chain.Answers.Zip(chain.Latest))
        {
            var (toHigh, toLow) = answer.WhileOn == Level.High ? (on, off) : (off, on);
            Say($"      {answer.Point}.{Output}:");
            Say($"        rises: {WindowText.Range(Duration.Zero, toHigh * LatestOverMeasured)}");
            Say($"        falls: {WindowText.Range(Duration.Zero, toLow * LatestOverMeasured)}");
            Say($"        because: {Quoted(string.Create(CultureInfo.InvariantCulture, $"twice the latest of {answer.Seen} pulses {measuredBy}"))}");
        }
    }

    private void Section(string key, string? comment)
    {
        Say("");
        if (comment is not null)
            Say($"# {comment}");
        Say($"{key}:");
    }

    private Volts HighestAt(string point) => PointsFile.HighestAt(points.Clipped.First(known => known.Name == point));

    private static string SupplyFor(Volts volts) => $"up-to-{Number(volts.Value)}V";

    private static string Series(Ohms series, Ohms usual) => series == usual ? "" : $", series: {Ohms(series)}";

    private static string Ohms(Ohms ohms) => ohms.Value >= 1_000 ? $"{Number(ohms.Value / 1_000)} kohm" : $"{Number(ohms.Value)} ohm";

    private static string Number(double value) => ((decimal)value).ToString("0.############", CultureInfo.InvariantCulture);

    private static string Quoted(string text) => $"'{text.Replace("'", "''", StringComparison.Ordinal)}'";

    private void Say(string line) => _text.Append(line).Append('\n');
}
