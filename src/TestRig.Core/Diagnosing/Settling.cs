using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing.Reasoning;

namespace TestRig.Core.Diagnosing;

/// <summary>
/// What would settle an ambiguity. Nothing of it is a table: the model is asked what each suspect would show after each step that a person can take, and the step that tells most pairs of suspects apart is
/// proposed, the cheapest first.
/// </summary>
/// <param name="Words">For a technician; empty where no step tells any of them apart.</param>
/// <param name="InjectAt">The net, where an injection is among what is proposed.</param>
internal sealed record Settling(string Words, string? InjectAt)
{
    /// <summary>A step that tells fewer of the pairs apart, by their odds, is not worth the while.</summary>
    private const double WorthDoing = 0.05;

    /// <summary>A step that tells this share of what the best one does is told of too: not every board has sockets, nor every adapter a free pin.</summary>
    private const double WorthTelling = 1.0 / 3;

    /// <param name="channel">The channel in which it shows.</param>
    /// <param name="parts">The parts of the group; at least two.</param>
    public static Settling Of(Board board, Channel channel, Suspect suspect, ImmutableArray<string> parts, IBoardModel model)
    {
        ImmutableArray<BoardFault> faults = [.. suspect.Faults.Where(fault => suspect.Group.Contains(fault.Item))];
        var told = Steps(board, channel, parts)
            .Select(step => (Step: step, Apart: model.After(step, [channel.Name]) is { } after ? Apart(after, faults) : null))
            .Where(step => step.Apart is not null)
            .Select(step => (step.Step, Apart: step.Apart!, Share: ShareTold(step.Apart!, faults)))
            .Where(step => step.Share >= WorthDoing)
            .ToList();
        if (told.Count == 0)
            return new("", null);
        var best = told.Max(step => step.Share);
        var proposed = told.FindAll(step => step.Share >= best * WorthTelling).OrderByDescending(step => step.Share).ToList();
        return new(
            string.Join(" Or, where that cannot be done: ", proposed.Select(step => $"{WordsOf(step.Step, channel)} It tells {TellsFrom(step.Apart, faults)}.")),
            proposed.Where(step => step.Step.Kind == SettlingKind.Inject).Select(step => step.Step.At).FirstOrDefault());
    }

    /// <summary>The cheapest first: a lead is clipped in seconds, a socket is emptied in a minute, a transistor has to be wired.</summary>
    private static IEnumerable<SettlingStep> Steps(Board board, Channel channel, ImmutableArray<string> parts)
    {
        foreach (var stage in channel.Stages.Where(stage => stage.Output?.AdapterPin is null && parts.Contains(stage.Part.Name)))
            yield return new(SettlingKind.Lead, stage.OutputName);
        foreach (var part in board.Parts.Where(part => parts.Contains(part.Name) && part.Type.DipPins is not null))
            yield return new(SettlingKind.Pull, part.Name);
        foreach (var stage in channel.Stages.Where(stage => Injection.At(board, stage.OutputName).Injection?.Channel == channel))
            yield return new(SettlingKind.Inject, stage.OutputName);
    }

    /// <summary>For each pair of faults of different items, whether a sweep after the step shows something of one that it does not show of the other.</summary>
    private static Dictionary<(int, int), bool> Apart(IBoardModel after, ImmutableArray<BoardFault> faults)
    {
        var forecasts = faults.Select(fault => after.Predict([fault])).ToList();
        var apart = new Dictionary<(int, int), bool>();
        for (var i = 0; i < faults.Length; i++)
        {
            for (var j = i + 1; j < faults.Length; j++)
            {
                if (faults[i].Item != faults[j].Item)
                    apart[(i, j)] = forecasts[i].All(one => forecasts[j].All(other => Differ(one, other)));
            }
        }
        return apart;
    }

    private static bool Differ(Forecast one, Forecast other) =>
        Enumerable.Range(0, Math.Max(one.Possible.Length, other.Possible.Length)).Any(experiment => one.At(experiment) != other.At(experiment) && (one.At(experiment) & other.At(experiment)) == 0);

    private static double ShareTold(Dictionary<(int, int), bool> apart, ImmutableArray<BoardFault> faults)
    {
        double Weight((int First, int Second) pair) => faults[pair.First].Odds * faults[pair.Second].Odds;
        var all = apart.Keys.Sum(Weight);
        return all == 0 ? 0 : apart.Where(pair => pair.Value).Sum(pair => Weight(pair.Key)) / all;
    }

    /// <summary>"OK3 from Q3 or lead at Q3.C", each by what is most probable of it.</summary>
    private static string TellsFrom(Dictionary<(int, int), bool> apart, ImmutableArray<BoardFault> faults)
    {
        var groups = new List<List<int>>();
        foreach (var index in faults.Select((fault, index) => (fault.Item, Index: index)).DistinctBy(fault => fault.Item).Select(fault => fault.Index))
        {
            var like = groups.Find(group => group.Exists(other => !apart[(other, index)]));
            if (like is null)
                groups.Add([index]);
            else
                like.Add(index);
        }
        return string.Join(" from ", groups.Select(group => string.Join(" or ", group.Select(index => faults[index].Item))));
    }

    private static string WordsOf(SettlingStep step, Channel channel) => step.Kind switch
    {
        SettlingKind.Lead => $"Clip a lead to {step.At} and sweep again.",
        SettlingKind.Pull => $"Pull {step.At} from its socket, or lift its output pin where it has none, with the board off, and sweep again.",
        _ => $"Pull {step.At} low through a transistor at a lead: if {channel.Stages[^1].OutputName} follows, everything behind {step.At} is good.",
    };
}
