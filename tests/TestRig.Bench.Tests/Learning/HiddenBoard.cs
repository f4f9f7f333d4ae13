using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Learning;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Learning;

/// <summary>A board whose profile the draft does not see: of it only lines and clipped points are written down, under names that tell nothing.</summary>
internal sealed class HiddenBoard
{
    private readonly Board _board;
    private readonly Dictionary<string, string> _aliases = [];

    public HiddenBoard(Board board)
    {
        _board = board;
        var driven = board.Channels.Select(channel => channel.DrivenAt.Name).ToHashSet();
        // In an order of their own, so that none of the profile's shows through.
        var clipped = board.TestPoints.Where(point => point.AdapterPin is not null && !driven.Contains(point.Name)).OrderBy(point => point.LeadEnd, StringComparer.Ordinal).Reverse().ToList();
        foreach (var point in clipped)
            _aliases[point.Name] = string.Create(CultureInfo.InvariantCulture, $"clip-{_aliases.Count + 1}");
        Text = Write(clipped);
        var path = Path.Combine(TestFolders.Create().FullName, "points.yaml");
        File.WriteAllText(path, Text);
        var (file, errors) = PointsReader.Read(path, Repository.PartsFolder);
        Directory.Delete(Path.GetDirectoryName(path)!, recursive: true);
        Assert.Empty(errors);
        Points = file!;
    }

    /// <summary>The file of points, as its author would write it.</summary>
    public string Text { get; }

    public PointsFile Points { get; }

    public string AliasOf(string point) => _aliases[point];

    /// <summary>The outputs along a channel that a lead is clipped to, in the order in which a command passes them, each with whether it follows the line.</summary>
    public ImmutableArray<(string Alias, bool Follows, int Stage)> Truth(Channel channel) =>
    [
        .. channel.Stages.Select((stage, i) => (stage.OutputName, Follows: channel.LevelAfter(i, channel.Line.Active) == channel.Line.Active, i))
            .Where(output => _aliases.ContainsKey(output.OutputName)).Select(output => (_aliases[output.OutputName], output.Follows, output.i)),
    ];

    public async Task<DraftResult> DraftAsync(int seed, params string[] faults)
    {
        await using var adapter = FaultyBench.Of(_board, seed, faults);
        return await Run(adapter).RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
    }

    public DraftRun Run(SimulatedAdapter adapter) => new(Points, adapter, new(ExerciseMode.LogicOnly, MotorOffConfirmed: true, NoStopInputAcknowledged: false), repeats: 6);

    private string Write(List<TestPoint> clipped)
    {
        var text = new StringBuilder();
        void Say(FormattableString line) => text.Append(FormattableString.Invariant(line)).Append('\n');
        Say($"format: {PointsReader.Format}\nboard: {{ name: Unknown card }}\nlines:");
        foreach (var line in _board.Lines)
            Say($"  {line.Name}: {{ adapter: {line.AdapterPin}, idle: {line.Idle.Word()}, longest-on: {Milliseconds(line.LongestOn)} ms, rest: {Milliseconds(line.Rest)} ms }}");
        if (!_board.KeptApart.IsEmpty)
            Say($"keep-apart: [ {string.Join(", ", _board.KeptApart.Select(pair => $"[{pair.First.Name}, {pair.Second.Name}]"))} ]");
        if (!_board.Multiplexers.IsEmpty)
            Say($"multiplexers:");
        foreach (var multiplexer in _board.Multiplexers)
            Say($"  {multiplexer.Name}: {{ type: {multiplexer.Type.Name}, common: {multiplexer.CommonPin}, select: [{string.Join(", ", multiplexer.SelectPins)}] }}");
        Say($"test-points:");
        foreach (var point in clipped)
        {
            var divider = point.Divider is { } d ? FormattableString.Invariant($", divider: {d.Upper.Value} ohm / {d.Lower.Value} ohm") : "";
            Say($"  {_aliases[point.Name]}: {{ adapter: {point.LeadEnd}, highest: {(decimal)point.Highest!.Value.Value} V{divider} }}");
        }
        if (!_board.Stops.IsEmpty)
            Say($"stops:");
        foreach (var stop in _board.Stops.Where(stop => _aliases.ContainsKey(stop.Point.Name)))
            Say($"  {_aliases[stop.Point.Name]}: {{ goes: {stop.StopsAt.Word()}, ends: [ {string.Join(", ", stop.Lines.Select(line => line.Name))} ] }}");
        return text.ToString();
    }

    private static long Milliseconds(Duration time) => time.Picoseconds / 1_000_000_000;
}
