using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Files;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;

namespace TestRig.Bench.Trials;

/// <summary>What the simulated bench has in its socket, part by part, from words such as "2=ctr:0.4x,leakage:5uA". Parts that nobody speaks of are good ones of the claimed type.</summary>
public sealed class SimulatedSocket
{
    /// <summary>What a part can be, for help and errors.</summary>
    public const string Forms = "ctr:0.4x, leakage:5uA, forward:1.6V, type:4N27, slow:3x, dead, empty; several with commas between";

    private readonly Board _board;
    private readonly ImmutableArray<string> _faults;
    private readonly Dictionary<int, Content> _parts = [];

    private SimulatedSocket(Board board, IEnumerable<string> faults) => (_board, _faults) = (board, [.. faults]);

    private sealed record Content(SocketedPart Part, IsolatorType? Type, ImmutableArray<string> Faults);

    /// <param name="board">With the claimed type in its socket.</param>
    /// <param name="faults">Of the socket itself, with every part in it.</param>
    /// <returns>The contents, null when there is an error; and all errors.</returns>
    public static (SimulatedSocket? Contents, ImmutableArray<string> Errors) Of(Board board, IEnumerable<string> faults, IEnumerable<string> written, PartLibrary library)
    {
        var contents = new SimulatedSocket(board, faults);
        var errors = ImmutableArray.CreateBuilder<string>();
        foreach (var text in written)
        {
            if (contents.Add(text, library) is { } problem)
                errors.Add($"--part '{text}': {problem}");
        }
        errors.AddRange(contents._parts.Keys.Prepend(0).Append(-1).SelectMany(number => contents.Plan(number).Errors).Distinct());
        return errors.Count > 0 ? (null, errors.ToImmutable()) : (contents, []);
    }

    /// <summary>The bench with that part in the socket; 0 for the empty socket.</summary>
    public SimulatedAdapter Build(int number, int seed)
    {
        var (board, plan, _) = Plan(number);
        return new(board, plan!, seed, motorSupplyOn: false);
    }

    private (Board Board, FaultPlan? Plan, ImmutableArray<string> Errors) Plan(int number)
    {
        var content = _parts.GetValueOrDefault(number, new(new(number), null, number == 0 ? ["removed"] : []));
        var board = content.Type is { } type ? _board.Socket!.With(_board, type) : _board;
        var (plan, errors) = FaultPlan.Of(board, [.. _faults, .. content.Faults.Select(fault => $"{board.Socket!.Part.Name}={fault}")], content.Part);
        return (board, plan, errors);
    }

    /// <summary>Null, or what is wrong with the words.</summary>
    private string? Add(string text, PartLibrary library)
    {
        if (text.Split('=') is not [var before, var after] || !int.TryParse(before, NumberStyles.None, CultureInfo.InvariantCulture, out var number) || number < 1)
            return $"write NUMBER=HOW, for example 2=ctr:0.4x. HOW is {Forms}.";
        var content = new Content(new(number), null, []);
        foreach (var word in after.Split(','))
        {
            var colon = word.IndexOf(':', StringComparison.Ordinal);
            var (how, amount) = colon < 0 ? (word, "") : (word[..colon], word[(colon + 1)..]);
            var (changed, problem) = Change(content, how, amount, library);
            if (changed is null)
                return problem;
            content = changed;
        }
        return _parts.TryAdd(number, content) ? null : $"part {number} is told of already.";
    }

    private (Content? Content, string? Problem) Change(Content content, string how, string amount, PartLibrary library)
    {
        switch (how)
        {
            case "ctr":
                return amount.EndsWith('x') && double.TryParse(amount[..^1], NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var factor) && factor is > 0 and <= 100
                    ? (content with { Part = content.Part with { TransferFactor = factor } }, null)
                    : (null, $"'{amount}' is no factor; write for example ctr:0.4x.");
            case "leakage":
                return QuantityText.Current(amount) is { } leakage ? (content with { Part = content.Part with { Leakage = leakage } }, null) : (null, $"'{amount}' is no current; write for example leakage:5uA.");
            case "forward":
                return QuantityText.Voltage(amount) is { Value: > 0 } forward ? (content with { Part = content.Part with { Forward = forward } }, null) : (null, $"'{amount}' is no voltage; write for example forward:1.6V.");
            case "type":
                return library.Types.GetValueOrDefault(amount) is IsolatorType type && _board.Socket!.Takes(type)
                    ? (content with { Type = type }, null)
                    : (null, $"the part library has no isolator '{amount}' with the socket's pins.");
            case "empty":
                return (content with { Faults = content.Faults.Add("removed") }, null);
            case "dead" or "slow":
                return (content with { Faults = content.Faults.Add(amount.Length == 0 ? how : $"{how}:{amount}") }, null);
            default:
                return (null, $"a part cannot be '{how}'; it can be {Forms}.");
        }
    }
}
