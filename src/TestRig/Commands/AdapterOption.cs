using System.CommandLine;
using System.CommandLine.Completions;
using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Gpio;
using TestRig.Bench.Adapters.Serial;

namespace TestRig.Commands;

/// <summary>--adapter, shared by every command that drives.</summary>
internal static class AdapterOption
{
    /// <summary>The simulated bench. Never a default.</summary>
    public const string Simulated = AdapterIdentity.SimulatedKind;

    private const string SerialPrefix = "serial:";

    private const string GpioPrefix = AdapterIdentity.GpioKind + ":";

    private const string Examples = "serial:PORT, e.g. serial:/dev/ttyACM0";

    /// <summary>For commands that have a board to build the simulated bench from.</summary>
    /// <param name="use">What the adapter is for, and what is done without one.</param>
    public static Option<string?> Create(string use = "By default the only one with our firmware attached.") => Create(
        $"The adapter: serial:/dev/ttyACM0, serial:COM3 or the like; pins that this computer times: gpio: and then {GpioAddress.Forms}; or simulated. {use}",
        $"serial:PORT|gpio:PINS|{Simulated}",
        [Simulated],
        value => value == Simulated ? null : $"--adapter '{value}' is not understood; write {Examples}, or gpio: and then {GpioAddress.Forms}, or simulated.");

    /// <summary>For commands without a board.</summary>
    public static Option<string?> CreateAttached() => Create(
        $"The adapter: serial:/dev/ttyACM0, serial:COM3 or the like; pins that this computer times: gpio: and then {GpioAddress.Forms}. By default whatever with our firmware is attached.",
        "serial:PORT|gpio:PINS",
        [],
        value => value == Simulated
            ? $"--adapter {Simulated} needs a board to simulate, and this command has none: use it with 'testrig sweep', 'testrig wiring', 'testrig pulse' or 'testrig probe'."
            : $"--adapter '{value}' is not understood; write {Examples}, or gpio: and then {GpioAddress.Forms}.");

    private static Option<string?> Create(string description, string helpName, IEnumerable<string> others, Func<string, string?> problemOfOther)
    {
        var option = new Option<string?>("--adapter") { Description = description, HelpName = helpName };
        option.CompletionSources.Add(_ =>
        [
            .. SerialAdapter.PortNames().Select(OfPort).DefaultIfEmpty(SerialPrefix)
                .Concat(GpioAddress.Beginnings.Select(begun => GpioPrefix + begun)).Concat(others).Select(word => new CompletionItem(word)),
        ]);
        option.Validators.Add(result =>
        {
            if (Problem(result.GetValueOrDefault<string?>(), problemOfOther) is { } problem)
                result.AddError(problem);
        });
        return option;
    }

    /// <summary>What is wrong with the name of an adapter that is not the simulated bench; null where nothing is.</summary>
    public static string? Problem(string value) => Problem(value, other => $"'{other}' is no adapter; write {Examples}, or gpio: and then {GpioAddress.Forms}, or simulated.");

    private static string? Problem(string? value, Func<string, string?> problemOfOther)
    {
        if (value is null || (value.StartsWith(SerialPrefix, StringComparison.Ordinal) && value.Length > SerialPrefix.Length))
            return null;
        if (!value.StartsWith(GpioPrefix, StringComparison.Ordinal))
            return problemOfOther(value);
        GpioAddress.Parse(value[GpioPrefix.Length..], out var problem);
        return problem is null ? null : $"--adapter '{value}' {problem}.";
    }

    /// <summary>The port of an adapter on a serial port; null of another.</summary>
    public static string? PortOf(string adapter) => adapter.StartsWith(SerialPrefix, StringComparison.Ordinal) ? adapter[SerialPrefix.Length..] : null;

    /// <summary>A port's name as this option writes it.</summary>
    public static string OfPort(string port) => SerialPrefix + port;

    /// <param name="adapter">Of a real adapter; the simulated bench is built from a board, by <see cref="SimulatedBenchOptions"/>.</param>
    /// <param name="pins">The adapter pins that will be used. An adapter that this computer times touches no other.</param>
    /// <exception cref="AdapterException">It cannot be opened; or, without a name, not exactly one is attached.</exception>
    public static Task<IAdapter> OpenAsync(string? adapter, IReadOnlyCollection<string> pins, CancellationToken cancellation) =>
        adapter is null ? OpenOnlyOneAsync(cancellation)
        : adapter.StartsWith(GpioPrefix, StringComparison.Ordinal) ? OpenGpioAsync(adapter[GpioPrefix.Length..], pins, cancellation)
        : OpenSerialAsync(adapter[SerialPrefix.Length..], cancellation);

    private static async Task<IAdapter> OpenSerialAsync(string port, CancellationToken cancellation) =>
        await SerialAdapter.OpenAsync(port, cancellation);

    private static async Task<IAdapter> OpenGpioAsync(string text, IReadOnlyCollection<string> pins, CancellationToken cancellation)
    {
        var address = GpioAddress.Parse(text, out var problem) ?? throw new BadUsageException([$"--adapter '{GpioPrefix}{text}' {problem}."]);
        return await GpioAdapter.OpenAsync(address, pins, cancellation);
    }

    private static async Task<IAdapter> OpenOnlyOneAsync(CancellationToken cancellation)
    {
        var ports = SerialAdapter.PortNames();
        var found = new List<IAdapter>();
        var refused = new List<string>();
        foreach (var port in ports)
        {
            try
            {
                found.Add(await OpenSerialAsync(port, cancellation));
            }
            catch (AdapterException fault)
            {
                refused.Add($"  {port}: {fault.Message}");
            }
        }
        if (found.Count == 1)
            return found[0];

        foreach (var extra in found)
            await extra.DisposeAsync();
        throw found.Count == 0
            ? new AdapterException(AdapterFault.Missing, string.Join(Environment.NewLine, [
                ports.Length == 0 ? "No adapter: this computer shows no serial port." : "No adapter on any serial port:",
                .. refused,
                "Plug it in, or name its port with --adapter serial:PORT."]))
            : new AdapterException(AdapterFault.Busy,
                $"More than one adapter is attached ({string.Join(", ", found.Select(item => item.Identity.Place))}). Say which with --adapter serial:PORT.");
    }
}
