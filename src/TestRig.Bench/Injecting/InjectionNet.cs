using TestRig.Bench.Files;
using TestRig.Core.Boards;

namespace TestRig.Bench.Injecting;

/// <summary>Finds the net that somebody wants to pull low.</summary>
public static class InjectionNet
{
    /// <returns>The injection; null, and why not and what else would be possible.</returns>
    public static (Injection? Injection, string? Problem) Of(Board board, string net)
    {
        var (injection, refused) = Injection.At(board, net);
        if (injection is not null)
            return (injection, null);
        var possible = Injection.Of(board).Select(known => known.Net).ToList();
        if (refused is not null)
            return (null, $"{refused} {(possible.Count == 0 ? "This board has no net that can be pulled low." : $"Nets that can: {string.Join(", ", possible)}.")}");
        var nets = board.Channels.SelectMany(channel => channel.Stages.Select(stage => stage.OutputName).Prepend(channel.DrivenAt.Name)).Distinct();
        return (null, $"{board.Name} has no net '{net}' in the path of a channel: {NearestName.Suggest(net, nets, "nets in paths")}");
    }
}
