using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Files;
using static TestRig.Bench.Files.KeyRule;

namespace TestRig.Bench.Serving;

/// <summary>Reads what a service is told, format testrig-benches/1. Paths in it are relative to its own folder.</summary>
public sealed class ServiceSettingsReader
{
    public const string Format = "testrig-benches/1";

    public const string DefaultListen = "http://127.0.0.1:8470";

    private const string Simulated = Adapters.AdapterIdentity.SimulatedKind;

    /// <summary>Faster, and pictures of a night are made quicker than anybody sees them.</summary>
    private const int FastestSpeed = 1000;

    private static readonly KeyRule[] _root =
    [
        Must("format", $"format: {Format}"), May("name"), May("listen"), May("tls"), May("without-tls"), May("store"), May("state"), May("records"),
        Must("benches", "benches: { dome: { adapter: serial:/dev/ttyACM0, profile: dome-drive.yaml } }"),
    ];

    private static readonly KeyRule[] _tls = [Must("certificate", "certificate: chain.pem"), Must("key", "key: key.pem")];

    private static readonly KeyRule[] _bench =
        [Must("adapter", "adapter: serial:/dev/ttyACM0"), Must("profile", "profile: dome-drive.yaml"), May("motion"), May("disk"), May("simulated"), May("schedule")];

    private static readonly KeyRule[] _simulated = [May("faults"), May("seed"), May("speed")];

    private static readonly KeyRule[] _scheduled = [Must("every-day-at", "every-day-at: 20:00"), May("soak-for"), May("soak-cycles"), May("motion")];

    private readonly ErrorList _errors;
    private readonly QuantityReader _quantities;
    private readonly string _folder;
    private readonly Func<string, string?> _problemOfAdapter;
    private readonly Dictionary<string, string> _benchOfAdapter = [];

    private ServiceSettingsReader(string path, ErrorList errors, Func<string, string?> problemOfAdapter)
    {
        _errors = errors;
        _quantities = new(errors);
        _folder = Path.GetDirectoryName(Path.GetFullPath(path))!;
        _problemOfAdapter = problemOfAdapter;
    }

    /// <summary>Never throws for bad content or a missing file: everything that is wrong is among the errors, and the settings are null then.</summary>
    /// <param name="problemOfAdapter">What is wrong with the name of an adapter that is not simulated, and what would be right; null where nothing is.</param>
    public static (ServiceSettings? Settings, ImmutableArray<ProfileError> Errors) Read(string path, Func<string, string?> problemOfAdapter)
    {
        var errors = new ErrorList(path);
        var settings = DocumentReader.Read(path, errors) is { } root ? new ServiceSettingsReader(path, errors, problemOfAdapter).ReadRoot(root) : null;
        return (errors.Any ? null : settings, errors.InReadingOrder());
    }

    private ServiceSettings? ReadRoot(DocumentNode node)
    {
        if (MapReader.Open(node, "", _errors, _root) is not { } root)
            return null;
        ProfileReader.CheckFormat(root, Format, _errors);
        var tls = root["tls"] is { } written && MapReader.Open(written, "tls", _errors, _tls) is { } keys
            ? new TlsSettings(PathOf(keys.Text("certificate")?.Value ?? ""), PathOf(keys.Text("key")?.Value ?? ""))
            : null;
        var withoutTls = root.TrueOrFalse("without-tls")?.Value ?? false;
        var benches = MapReader.Names(root["benches"], "benches", _errors, "benches").Select(entry => ReadBench(entry.Name, entry.Value)).ToList();
        if (root["benches"] is MapNode { Entries.IsEmpty: true } none)
            _errors.Add(none.Place, "benches", "no bench stands here", "name at least one, with its adapter and its profile");
        return new(
            root.Text("name")?.Value ?? Environment.MachineName, ReadListen(root, tls, withoutTls), withoutTls, tls, StoreOf(root.Text("store")?.Value), PathOf(root.Text("state")?.Value ?? "service"),
            PathOf(root.Text("records")?.Value ?? "runs"), [.. benches.OfType<BenchSettings>()]);
    }

    /// <summary>Beyond this computer a token must not be readable on the way, unless somebody says that it may.</summary>
    private Uri ReadListen(MapReader root, TlsSettings? tls, bool withoutTls)
    {
        var written = root.Text("listen");
        if (!Uri.TryCreate(written?.Value ?? DefaultListen, UriKind.Absolute, out var listen) || listen.Scheme is not ("http" or "https") || listen.PathAndQuery != "/" || listen.UserInfo.Length + listen.Fragment.Length > 0)
        {
            _errors.Add(written!, $"'{written!.Value}' is no address to listen on", $"write for example '{DefaultListen}', or 'https://0.0.0.0:8470' for all of this computer's addresses");
            return new(DefaultListen);
        }
        if (listen.Scheme == "https" && tls is null)
            _errors.Add(written!, "https needs a certificate", "add 'tls: { certificate: chain.pem, key: key.pem }'");
        if (listen.Scheme == "http" && tls is not null)
            _errors.Add(root.Place, "tls", "a certificate is named, but 'listen' says http", $"write 'listen: https://{listen.Authority}'");
        if (listen.Scheme == "http" && !listen.IsLoopback && !withoutTls)
        {
            _errors.Add(
                written!, "other computers can reach this address, and tokens would cross the network readable by all",
                "write https and name a certificate with 'tls'; or, in a network that is yours alone, add 'without-tls: true'");
        }
        return listen;
    }

    private BenchSettings? ReadBench(Written<string> name, DocumentNode node)
    {
        if (MapReader.Open(node, name.KeyPath, _errors, _bench) is not { } keys)
            return null;
        var adapter = keys.Text("adapter");
        var simulated = adapter?.Value == Simulated ? ReadSimulated(keys) : null;
        if (adapter is not null && simulated is null)
        {
            if (_problemOfAdapter(adapter.Value) is { } problem)
                _errors.Add(adapter, problem, "the same words as behind --adapter");
            if (keys["simulated"] is { } stray)
                _errors.Add(stray.Place, keys.PathOf("simulated"), "this is of a simulated bench, and the adapter is a real one", $"write 'adapter: {Simulated}', or leave it out");
            if (!_benchOfAdapter.TryAdd(adapter.Value, name.Value))
                _errors.Add(adapter, $"bench '{_benchOfAdapter[adapter.Value]}' has this adapter", "each bench needs one of its own");
        }
        var motion = keys.TrueOrFalse("motion")?.Value ?? false;
        return new(
            name.Value, simulated is null ? adapter?.Value : null, simulated, PathOf(keys.Text("profile")?.Value ?? ""), motion,
            _quantities.Bytes(keys.Text("disk"))?.Value ?? Soaking.SoakOptions.DefaultDiskBudget, ReadSchedule(keys, motion));
    }

    private SimulatedSettings ReadSimulated(MapReader bench)
    {
        if (bench["simulated"] is not { } node || MapReader.Open(node, bench.PathOf("simulated"), _errors, _simulated) is not { } keys)
            return new([], 1, 1);
        return new([.. (keys.Texts("faults") ?? []).Select(fault => fault.Value)], WholeNumber(keys, "seed", int.MinValue, int.MaxValue) ?? 1, WholeNumber(keys, "speed", 1, FastestSpeed) ?? 1);
    }

    private ImmutableArray<ScheduledSoak> ReadSchedule(MapReader bench, bool motion)
    {
        if (bench["schedule"] is not { } node)
            return [];
        if (node is not ListNode list)
        {
            _errors.Add(node.Place, bench.PathOf("schedule"), $"{node.Kind} stands here", "a list belongs here: 'schedule: [ { every-day-at: 20:00, soak-for: 8 h } ]'");
            return [];
        }
        return [.. list.Items.Select((item, index) => ReadScheduled(item, string.Create(CultureInfo.InvariantCulture, $"{bench.PathOf("schedule")}[{index + 1}]"), motion)).OfType<ScheduledSoak>()];
    }

    private ScheduledSoak? ReadScheduled(DocumentNode node, string keyPath, bool motion)
    {
        if (MapReader.Open(node, keyPath, _errors, _scheduled) is not { } keys)
            return null;
        var at = keys.Text("every-day-at");
        if (at is not null && DailyTime.Parse(at.Value) is null)
            _errors.Add(at, $"'{at.Value}' is no time of day", "write hours and minutes, for example '20:00'");
        var (length, cycles) = (_quantities.Span(keys.Text("soak-for"))?.Value, WholeNumber(keys, "soak-cycles", 1, (int)JobRequest.MostCycles));
        if (keys["soak-for"] is null == keys["soak-cycles"] is null)
            _errors.Add(node.Place, keyPath, "it is not clear how long it soaks", "write either 'soak-for: 8 h' or 'soak-cycles: 1000'");
        if (length > JobRequest.LongestSoak)
            _errors.Add(keys.Text("soak-for")!, $"a soak goes on for at most {JobRequest.LongestSoak.TotalDays:0} days", "write for example 'soak-for: 8 h'");
        if (keys.TrueOrFalse("motion") is { Value: true } moves && !motion)
            _errors.Add(moves, "the machine of this bench may not be moved by the service", "write 'motion: true' for the bench, too, or leave it out here");
        return new(at is null ? default : DailyTime.Parse(at.Value) ?? default, length, cycles) { Motion = keys.TrueOrFalse("motion")?.Value ?? false };
    }

    private int? WholeNumber(MapReader keys, string key, int least, int most)
    {
        if (keys.Text(key) is not { } text)
            return null;
        if (int.TryParse(text.Value, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var number) && number >= least && number <= most)
            return number;
        _errors.Add(text, $"'{text.Value}' is not a number that belongs here", string.Create(CultureInfo.InvariantCulture, $"write a whole number from {least} to {most}"));
        return null;
    }

    private string PathOf(string written) => Path.Combine(_folder, written);

    private string? StoreOf(string? written) => written is null || Storage.PostgresDatabase.IsAddress(written) ? written : PathOf(written);
}
