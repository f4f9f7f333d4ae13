using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Quantities;
using TestRig.Tests.Expectations;

namespace TestRig.Tests.FaultSamples;

/// <summary>
/// A fault as the emulated bench writes it. That bench knows no profile: a line is its adapter's pin, a supply the net where it is sensed, a section the pin of its output, what moves the net that its
/// contactor hangs on.
/// </summary>
internal static class FaultOnEmulatedBench
{
    /// <param name="fault">As it is written for the simulated bench.</param>
    public static string Of(Board board, string fault)
    {
        var equals = fault.IndexOf('=', StringComparison.Ordinal);
        var (what, how) = (fault[..equals], fault[(equals + 1)..]);
        var colon = what.IndexOf(':', StringComparison.Ordinal);
        var (kind, name) = colon < 0 ? ("", what) : (what[..colon], what[(colon + 1)..]);
        return kind switch
        {
            "line" => $"line:{board.Lines.First(line => line.Name == name).AdapterPin}={how}",
            "lead" when board.Channels.FirstOrDefault(channel => channel.DrivenAt.Name == name) is { } channel => $"line:{channel.Line.AdapterPin}={how}",
            "supply" => $"{board.Supplies.First(supply => supply.Name == name).SensedAt!.Name}=dead",
            "motor" => $"motor:{board.Channels.First(channel => channel.Name == name).Stages[^1].OutputName}={how}",
            "lead" or "net" => fault,
            _ when how is "holds-low" or "holds-high" => $"{SectionAt(board, part: kind, inputPin: name)}={how}",
            _ when how == "active" => $"{what}={(board.Stops.First(stop => stop.Point.Name == what).StopsAt == Level.Low ? "stuck-low" : "stuck-high")}",
            _ => TideGaugeFaults.OnEmulatedBench(fault),
        };
    }

    private static string SectionAt(Board board, string part, string inputPin)
    {
        var stage = board.Channels.SelectMany(channel => channel.Stages).First(stage => stage.Part.Name == part && BoardFaults.InputPin(stage) == inputPin);
        return stage.Part is BufferPart ? stage.OutputName.Replace('.', ':') : part;
    }
}
