using TestRig.Core.Boards;

namespace TestRig.Tests.Expectations;

/// <summary>Everything of a board that the benches can break, one fault at a time, as a user writes it for the simulated bench.</summary>
public static class EveryFault
{
    /// <param name="bridgesStep">Of the bridges, which are by far the most, one in so many.</param>
    public static IEnumerable<string> Of(Board board, int bridgesStep = 1) =>
        Sections(board).Concat(Contacts(board)).Concat(Leads(board)).Concat(Bridges(board).Where((_, index) => index % bridgesStep == 0));

    public static IEnumerable<string> Sections(Board board)
    {
        foreach (var stage in board.Channels.SelectMany(channel => channel.Stages))
        {
            var pin = stage.OutputName.Split('.')[1];
            var section = stage.Part is BufferPart ? $"{stage.Part.Name}:{pin}" : stage.Part.Name;
            string[] modes = stage.Part switch
            {
                BufferPart => ["dead", "stuck-low", "stuck-high", "inverted", "weak", "slow:100x"],
                RelayPart => ["dead", "stuck-low", "stuck-high", "slow:4x", "bouncing"],
                _ => ["dead", "stuck-low", "stuck-high", "weak", "slow:4x"],
            };
            foreach (var mode in modes)
                yield return $"{section}={mode}";
        }
        foreach (var buffer in board.Parts.OfType<BufferPart>())
            yield return $"{buffer.Name}=no-supply";
    }

    public static IEnumerable<string> Contacts(Board board) => board.Parts.OfType<SwitchPart>()
        .SelectMany(part => new[] { "bouncing", "stuck-low", "stuck-high" }.Select(mode => $"{part.Name}={mode}"));

    public static IEnumerable<string> Leads(Board board) =>
        board.TestPoints.Where(point => point.AdapterPin is not null).Select(point => $"lead:{point.Name}=open");

    /// <summary>Each output bridged to each of another channel, and of its own.</summary>
    public static IEnumerable<string> Bridges(Board board)
    {
        var outputs = board.Channels.SelectMany(channel => channel.Stages).Select(stage => stage.OutputName).Distinct().ToList();
        for (var first = 0; first < outputs.Count; first++)
        {
            for (var second = first + 1; second < outputs.Count; second++)
                yield return $"net:{outputs[first]}+{outputs[second]}=bridged";
        }
    }
}
