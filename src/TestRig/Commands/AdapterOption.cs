using System.CommandLine;
using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;

namespace TestRig.Commands;

/// <summary>--adapter, shared by every command that drives.</summary>
internal static class AdapterOption
{
    /// <summary>The simulated bench. Never a default.</summary>
    public const string Simulated = AdapterIdentity.SimulatedKind;

    private const string SerialPrefix = "serial:";

    /// <summary>For commands that have a board to build the simulated bench from.</summary>
    /// <param name="description">What the adapter is for, where it is not the usual.</param>
    public static Option<string?> Create(
        string description = "The adapter: serial:/dev/ttyACM0, serial:COM3 or the like, or simulated. By default the only one attached.") => Create(
        description,
        $"{Simulated}|serial:PORT",
        value => value == Simulated ? null : $"--adapter '{value}' is not understood; write serial:PORT, e.g. serial:/dev/ttyACM0, or simulated.");

    /// <summary>For commands without a board.</summary>
    public static Option<string?> CreateSerial() => Create(
        "The adapter: serial:/dev/ttyACM0, serial:COM3 or the like. By default whatever is attached.",
        "serial:PORT",
        value => value == Simulated
            ? $"--adapter {Simulated} needs a board to simulate, and this command has none: use it with 'testrig sweep' or 'testrig pulse'."
            : $"--adapter '{value}' is not understood; write serial:PORT, e.g. serial:/dev/ttyACM0.");

    private static Option<string?> Create(string description, string helpName, Func<string, string?> problemWhenNotSerial)
    {
        var option = new Option<string?>("--adapter") { Description = description, HelpName = helpName };
        option.Validators.Add(result =>
        {
            var value = result.GetValueOrDefault<string?>();
            var serial = value is null || (value.StartsWith(SerialPrefix, StringComparison.Ordinal) && value.Length > SerialPrefix.Length);
            if (!serial && problemWhenNotSerial(value!) is { } problem)
                result.AddError(problem);
        });
        return option;
    }

    /// <summary>A port's name as this option writes it.</summary>
    public static string OfPort(string port) => SerialPrefix + port;

    /// <param name="adapter">Of a serial adapter; the simulated bench is built from a board, by <see cref="SimulatedBenchOptions"/>.</param>
    /// <exception cref="AdapterException">It cannot be opened; or, without a name, not exactly one is attached.</exception>
    public static Task<IAdapter> OpenAsync(string? adapter, CancellationToken cancellation) => adapter is not null
        ? OpenSerialAsync(adapter[SerialPrefix.Length..], cancellation)
        : OpenOnlyOneAsync(cancellation);

    private static async Task<IAdapter> OpenSerialAsync(string port, CancellationToken cancellation) =>
        await SerialAdapter.OpenAsync(port, cancellation).ConfigureAwait(false);

    private static async Task<IAdapter> OpenOnlyOneAsync(CancellationToken cancellation)
    {
        var ports = SerialAdapter.PortNames();
        var found = new List<IAdapter>();
        var refused = new List<string>();
        foreach (var port in ports)
        {
            try
            {
                found.Add(await OpenSerialAsync(port, cancellation).ConfigureAwait(false));
            }
            catch (AdapterException fault)
            {
                refused.Add($"  {port}: {fault.Message}");
            }
        }
        if (found.Count == 1)
            return found[0];

        foreach (var extra in found)
            await extra.DisposeAsync().ConfigureAwait(false);
        throw found.Count == 0
            ? new AdapterException(AdapterFault.Missing, string.Join(Environment.NewLine, [
                ports.Length == 0 ? "No adapter: this computer shows no serial port." : "No adapter on any serial port:",
                .. refused,
                "Plug it in, or name its port with --adapter serial:PORT."]))
            : new AdapterException(AdapterFault.Busy,
                $"More than one adapter is attached ({string.Join(", ", found.Select(item => item.Identity.Place))}). Say which with --adapter serial:PORT.");
    }
}
