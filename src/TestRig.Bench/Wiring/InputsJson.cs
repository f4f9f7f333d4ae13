using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using TestRig.Bench.Reporting;
using TestRig.Core.Boards;

namespace TestRig.Bench.Wiring;

/// <summary>What few inputs are best wired to, and how they come to all points in several passes, for other programs: format testrig-inputs/1. Resistances in ohms, as the keys say.</summary>
public static class InputsJson
{
    /// <param name="profile">The profile's path as the user wrote it.</param>
    /// <param name="choices">Of so many inputs, and of one fewer and one more.</param>
    public static string Write(ClipPasses passes, string profile, ImmutableArray<ChosenInputs> choices) => JsonSerializer.Serialize(
        new Document(
            "testrig-inputs/1", passes.Board.Name, profile, passes.Inputs, [.. passes.Points.Select(point => point.Name)],
            [.. choices.Select(choice => new ChoiceEntry(choice.Points, Math.Round(choice.EntropyLeft, 4), Math.Round(choice.FaultsLeft, 4)))],
            passes.Moves, passes.FewestMoves, [.. passes.Split.Select(channel => channel.Name)],
            [
                .. passes.Passes.Select(pass => new PassEntry(
                    pass.Number, [.. pass.Whole.Select(channel => channel.Name)], [.. pass.Clips.Select(Clip)],
                    [.. pass.Moves.Select(move => new MoveEntry(move.To.LeadEnd!, move.From.Name, move.To.Name, move.ChangesResistors))])),
            ]),
        RecordJson.Options);

    private static ClipEntry Clip(TestPoint clip) =>
        new(clip.LeadEnd!, clip.Name, clip.Divider is null ? clip.Series.Value : null, clip.Divider?.Upper.Value, clip.Divider?.Lower.Value);

    private sealed record Document(
        string Format,
        string Board,
        string Profile,
        int Inputs,
        ImmutableArray<string> Points,
        ImmutableArray<ChoiceEntry> Choices,
        int Moves,
        int FewestMoves,
        ImmutableArray<string> Split,
        ImmutableArray<PassEntry> Passes);

    private sealed record ChoiceEntry(ImmutableArray<string> TestPoints, [property: JsonPropertyName("entropyLeft_bits")] double EntropyLeftBits, double FaultsLeft);

    private sealed record PassEntry(int Pass, ImmutableArray<string> Whole, ImmutableArray<ClipEntry> Clips, ImmutableArray<MoveEntry> Moves);

    private sealed record ClipEntry(
        string AdapterPin,
        string TestPoint,
        [property: JsonPropertyName("series_ohm")] double? SeriesOhm,
        [property: JsonPropertyName("upper_ohm")] double? UpperOhm,
        [property: JsonPropertyName("lower_ohm")] double? LowerOhm);

    private sealed record MoveEntry(string AdapterPin, string From, string To, bool ChangesResistors);
}
