using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using Spectre.Console;
using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;
using TestRig.Bench.Exercising;
using TestRig.Bench.Reporting;
using TestRig.Core.Quantities;

namespace TestRig.Commands;

/// <summary>testrig adapters: who is attached, and an adapter's test of itself.</summary>
internal static class AdaptersCommand
{
    private const int DefaultRepeats = 100;

    public static Command Create()
    {
        var adapter = AdapterOption.CreateAttached();
        var loop = new Option<string?>("--self-test")
        {
            Description = "Drive pin LINE and measure at pin INPUT, which a wire joins to it. Nothing else may be wired to either.",
            HelpName = "LINE=INPUT",
        };
        loop.Validators.Add(result =>
        {
            var value = result.GetValueOrDefault<string?>();
            if (value is not null && value.Split('=') is not [{ Length: > 0 }, { Length: > 0 }])
                result.AddError($"--self-test '{value}' is not understood; write the two pins that the wire joins, e.g. D22=A0.");
        });
        var repeats = NumberOption.Create("--repeats", $"How often the self-test switches the line on and off; {DefaultRepeats} by default.", least: 1);
        var json = JsonOption.Create("what is attached");
        var command = new Command("adapters", "List the serial ports with the adapters behind them; test one.") { adapter, loop, repeats, json };
        command.SetAction((parsed, cancellation) => RunAsync(
            parsed.GetValue(adapter), parsed.GetValue(loop), parsed.GetValue(repeats) ?? DefaultRepeats, parsed.GetValue(json), cancellation));
        return command;
    }

    private static async Task<int> RunAsync(string? adapter, string? loop, int repeats, string? json, CancellationToken cancellation)
    {
        var screen = JsonOption.Screen(json);
        if (loop is null)
            return await ListAsync(adapter, screen, json, cancellation);

        screen.Say("CAUTION  ", $"The self-test drives {loop.Split('=')[0]}. Unplug the board: nothing but the wire to {loop.Split('=')[1]} may be on these two pins.");
        await using var open = await AdapterOption.OpenAsync(adapter, loop.Split('='), cancellation);
        Show(screen, [(open.Identity, open.Pins)]);
        var result = await LoopTest.RunAsync(open, loop.Split('=')[0], loop.Split('=')[1], repeats, cancellation);
        Show(screen, result);
        await JsonOption.WriteAsync(json, AdaptersJson.Write([(open.Identity, open.Pins)], [], result));
        return result.Good ? ExitCode.AllWorking : ExitCode.FaultsFound;
    }

    private static async Task<int> ListAsync(string? adapter, TextScreen screen, string? json, CancellationToken cancellation)
    {
        var found = new List<(AdapterIdentity Identity, ImmutableArray<AdapterPin> Pins)>();
        var refused = new List<(string Port, string Reason)>();
        var places = adapter is null ? SerialAdapter.PortNames().Select(AdapterOption.OfPort) : [adapter];
        // A silent port takes seconds to be sure of: all are asked at once.
        foreach (var (place, identity, pins, reason) in await Task.WhenAll(places.Select(place => IdentifyAsync(place, cancellation))))
        {
            if (identity is not null)
                found.Add((identity, pins));
            else
                refused.Add((place, reason));
        }
        if (found.Count > 0)
            Show(screen, found);
        foreach (var (port, reason) in refused)
            screen.Say($"{port}: ", reason);
        if (found.Count == 0 && refused.Count == 0)
            screen.Say("No adapter: this computer shows no serial port. Plug it in.");
        await JsonOption.WriteAsync(json, AdaptersJson.Write(found, refused, null));
        return found.Count > 0 ? ExitCode.AllWorking : ExitCode.Adapter;
    }

    private static async Task<(string Place, AdapterIdentity? Identity, ImmutableArray<AdapterPin> Pins, string Reason)> IdentifyAsync(string place, CancellationToken cancellation)
    {
        try
        {
            await using var open = await AdapterOption.OpenAsync(place, [], cancellation);
            return (place, open.Identity, open.Pins, "");
        }
        catch (AdapterException fault)
        {
            return (place, null, [], fault.Message);
        }
    }

    private static void Show(TextScreen screen, IReadOnlyCollection<(AdapterIdentity Identity, ImmutableArray<AdapterPin> Pins)> adapters)
    {
        foreach (var (adapter, pins) in adapters)
        {
            // No table: a port's name has to stay in one piece, to be copied.
            screen.Say("Adapter  ", Words.Adapter(adapter));
            screen.Say("         ", string.Create(
                CultureInfo.InvariantCulture, $"resolution {adapter.Resolution}, tick {adapter.Tick}, clock ±{adapter.ClockTolerance * 100:0.###} %; a stop input ends lines within {adapter.StopBound}; programs of up to {adapter.LongestProgram}"));
            if (StampedPins(pins) is { } stamped)
                screen.Say("         ", stamped);
        }
        foreach (var adapter in adapters.Select(item => item.Identity).Where(adapter => adapter.IsHostTimed))
        {
            screen.Say($"{adapter.Place}: ", $"timed by this computer. Its resolution was measured just now, with all cores busy and few pins or none looked at; with a profile's pins it is measured again at each start.");
            foreach (var caution in Cautions.For(adapter))
                screen.Say("CAUTION  ", caution);
        }
    }

    /// <summary>Null when its hardware stamps no pin.</summary>
    private static string? StampedPins(ImmutableArray<AdapterPin> pins)
    {
        var changes = string.Join(", ", pins.Where(pin => pin.Fine).Select(pin => pin.Name));
        var crossings = string.Join(", ", pins.Where(pin => pin.Crossing).Select(pin => pin.Name));
        string?[] parts = [changes.Length > 0 ? $"at {changes} changes" : null, crossings.Length > 0 ? $"at {crossings} crossings of a reference voltage" : null];
        return parts.All(part => part is null) ? null : $"stamped by hardware, one point in a run: {string.Join("; ", parts.Where(part => part is not null))}";
    }

    private static void Show(TextScreen screen, LoopResult result)
    {
        var table = Table("Pin", "Edge", "Seen", "Least", "Mean", "Greatest", "Each ±");
        foreach (var delays in result.Delays)
        {
            table.AddRow(
                Markup.Escape(delays.Pin == result.Line ? $"{delays.Pin} (driven)" : delays.Pin), delays.To.ArrivalWord(),
                string.Create(CultureInfo.InvariantCulture, $"{delays.Seen} of {result.Repeats}"),
                Time(delays.Minimum), Time(delays.Mean), Time(delays.Maximum), Time(delays.Uncertainty));
        }
        foreach (var fine in result.Fine)
        {
            table.AddRow(
                Markup.Escape($"{fine.Delays.Pin} (hardware stamp)"), fine.Delays.To.ArrivalWord(),
                string.Create(CultureInfo.InvariantCulture, $"{fine.Delays.Seen} of {result.Repeats}"),
                Time(fine.Delays.Minimum), Time(fine.Delays.Mean), Time(fine.Delays.Maximum), Time(fine.Delays.Uncertainty));
        }
        screen.Show(table);
        foreach (var fine in result.Fine.Where(fine => fine.Unusable is not null))
            screen.Say("Stamp    ", $"{fine.Delays.Pin} {fine.Delays.To.ArrivalWord()}: no usable stamp in {result.Repeats - fine.Delays.Seen} of {result.Repeats}: {fine.Unusable}.");
        foreach (var fine in result.Fine.Where(fine => fine.Stated is not null))
        {
            screen.Say("Stamp    ", $"{fine.Delays.Pin} {fine.Delays.To.ArrivalWord()}: " + (fine.Latency is { } latency
                ? $"stamped {latency.Least} to {latency.Most} behind the change (the adapter states {fine.Stated!.Least} to {fine.Stated.Most}); the delays spread over {fine.Spread}. This calibration holds for this test and is not kept."
                : $"no latency within the stated {fine.Stated!.Least} to {fine.Stated.Most} agrees with all that the looks saw: do not trust the stamps of this adapter."));
        }
        screen.Say($"Delays count from the planned instant of the command, on the adapter's own clock, with a resolution of {result.Resolution}; ± is what each is known to, with a probability of 95 %.");
        screen.Say("Verdict  ", result.Good
            ? $"{result.Input} followed {result.Line} every time."
            : result.Followed
                ? $"{result.Input} followed {result.Line} every time, but its hardware stamps cannot be trusted: measure without them, and load this version's firmware onto the adapter."
                : $"{result.Input} did not follow {result.Line} every time with exactly one change: check the wire, and that nothing else is on the two pins.");
    }

    private static Table Table(params string[] headings)
    {
        var table = new Table().Border(TableBorder.Simple);
        foreach (var heading in headings)
            table.AddColumn(new TableColumn(Markup.Escape(heading)));
        return table;
    }

    private static string Time(Duration? duration) => duration?.ToString() ?? "-";
}
