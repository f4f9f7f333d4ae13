using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using static TestRig.Bench.Files.KeyRule;

namespace TestRig.Bench.Files;

/// <summary>
/// Reads the lines and clipped points of a board without a profile, format testrig-points/1. What it says becomes the wire form of a profile without parts and channels, so that one builder checks both.
/// </summary>
public sealed class PointsReader
{
    public const string Format = "testrig-points/1";

    /// <summary>Stands for the supply of whatever the lines may move; not known, so that the operator has to answer for it.</summary>
    public const string MotorSupply = "motors";

    private static readonly KeyRule[] _line =
        [Must("adapter", "adapter: D22"), Must("idle", "idle: high"), Must("longest-on", "longest-on: 500 ms"), Must("rest", "rest: 250 ms"), May("at"), May("series")];

    private static readonly KeyRule[] _point = [Must("adapter", "adapter: A0"), Must("highest", "highest: 5.25 V"), May("divider"), May("series")];

    private static readonly KeyRule[] _root =
    [
        Must("format", $"format: {Format}"), Must("board", "board: { name: Dome drive card }"), May("controller"), Must("lines", "lines: { rotate-left: { … } }"),
        May("keep-apart"), May("multiplexers"), Must("test-points", "test-points: { U3.18: { adapter: A0, highest: 5.25 V } }"), May("stops"), May("cautions"),
    ];

    private readonly ErrorList _errors;
    private readonly QuantityReader _quantities;
    private readonly ProfileReader _profiles;
    private readonly List<WrittenSupply> _supplies = [];
    private readonly Dictionary<string, string> _at = [];

    private PointsReader(ErrorList errors)
    {
        _errors = errors;
        _quantities = new(errors);
        _profiles = new(errors);
    }

    /// <summary>Never throws for bad content or a missing file: everything that is wrong is among the errors, and the file is null then.</summary>
    /// <param name="partLibraryFolder">For the types of multiplexers.</param>
    public static (PointsFile? File, ImmutableArray<ProfileError> Errors) Read(string path, string partLibraryFolder)
    {
        var (library, libraryErrors) = PartLibrary.Load(partLibraryFolder);
        var errors = new ErrorList(path);
        var file = DocumentReader.Read(path, errors) is { } root ? new PointsReader(errors).ReadRoot(root, library) : null;
        ImmutableArray<ProfileError> all = [.. errors.InReadingOrder(), .. libraryErrors];
        return (all.IsEmpty ? file : null, all);
    }

    private PointsFile? ReadRoot(DocumentNode node, PartLibrary library)
    {
        if (MapReader.Open(node, "", _errors, _root) is not { } root)
            return null;
        ProfileReader.CheckFormat(root, Format, _errors);
        ImmutableArray<WrittenLine> lines = [.. MapReader.Names(root["lines"], "lines", _errors, "lines").Select(entry => ReadLine(entry.Name, entry.Value))];
        ImmutableArray<WrittenTestPoint> points = [.. MapReader.Names(root["test-points"], "test-points", _errors, "test points").Select(entry => ReadPoint(entry.Name, entry.Value))];
        foreach (var (line, at) in _at.Where(at => points.Any(point => point.Name.Value == at.Value)))
            _errors.Add(lines.First(known => known.Name.Value == line).Name, $"'{at}' is a test point already", "name the pin where the line meets the board, and no other point, with 'at'");
        _supplies.Add(new(Here(root.Place, MotorSupply), new((new(24), 0.1), root.Place, ""), null, new(true, root.Place, "")));
        var document = _profiles.ReadSetUp(root) with { Supplies = [.. _supplies], Lines = lines, TestPoints = points };
        if (BoardBuilder.Build(document, library, _errors) is not { } board)
            return null;
        var drivenAt = board.Lines.ToImmutableDictionary(line => line.Name, line => new TestPoint(_at[line.Name], line.AdapterPin, null, null));
        return new(board with { TestPoints = [.. board.TestPoints, .. drivenAt.Values] }, drivenAt);
    }

    /// <summary>Whatever holds it idle while nothing drives it is looked at before anything is driven, so it need not be written.</summary>
    private WrittenLine ReadLine(Written<string> name, DocumentNode node)
    {
        var keys = MapReader.Open(node, name.KeyPath, _errors, _line);
        var idle = keys?.Level("idle");
        _at[name.Value] = keys?.Text("at")?.Value ?? $"{name.Value}.pin";
        var hold = idle?.Value == Level.Low
            ? new WrittenHold(true, null, null, Here(name.Place, "the board"), null)
            : new WrittenHold(true, null, null, null, new(Level.High, name.Place, name.KeyPath));
        return new(
            name, keys?.Text("adapter"), idle, new(true, name.Place, name.KeyPath), NotZero(_quantities.Duration(keys?.Text("longest-on"))), _quantities.Duration(keys?.Text("rest")), hold,
            _quantities.Ohms(keys?.Text("series")));
    }

    private WrittenTestPoint ReadPoint(Written<string> name, DocumentNode node)
    {
        var keys = MapReader.Open(node, name.KeyPath, _errors, _point);
        var divider = _quantities.Divider(keys?.Text("divider"));
        var supply = Here(name.Place, $"at {name.Value}");
        if (_quantities.Volts(keys?.Text("highest")) is { } highest)
            _supplies.Add(new(supply, new((highest.Value, 0), highest.Place, highest.KeyPath), null, new(false, name.Place, name.KeyPath)));
        else
            _supplies.Add(new(supply, null, null, new(false, name.Place, name.KeyPath)));
        return new(name, keys?.Text("adapter"), divider, divider is null && keys?["divider"] is not null, _quantities.Ohms(keys?.Text("series")), null, supply);
    }

    private Written<Duration>? NotZero(Written<Duration>? time)
    {
        if (time is null || time.Value > Duration.Zero)
            return time;
        _errors.Add(time, "a time of 0 makes no sense here", "write how long, for example '400 ms'");
        return null;
    }

    private static Written<string> Here(Place place, string text) => new(text, place, "");
}
