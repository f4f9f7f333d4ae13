using System.Globalization;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Learning;
using TestRig.Bench.Reporting;
using TestRig.Core.Learning;
using TestRig.Core.Quantities;

namespace TestRig.Commands;

/// <summary>Shows what pulses told of a board without a profile, how sure that is, and what is left to ask.</summary>
internal sealed class DraftView(TextScreen screen)
{
    public void Cautions()
    {
        screen.Say("CAUTION  ", "Nothing is known of this board: each line may move something, and is pulsed all the same. Its motors, solenoids and valves are to be without supply, and nobody within their reach.");
        screen.Say("CAUTION  ", "Nothing tells which grounds the board isolates, and a lead bridges them: feed it from floating bench supplies, out of its machine, or leave the leads to such a side off.");
        screen.Say();
    }

    public void Start(PointsFile points, AdapterIdentity adapter)
    {
        screen.Say("Board    ", $"{points.Board.Name}: {Words.Count(points.Board.Lines.Length, "line")}, {Words.Count(points.Clipped.Length, "clipped point")}, no profile");
        screen.Say("Adapter  ", $"{adapter.Board} at {adapter.Place}, firmware {adapter.Firmware}, resolution {adapter.Resolution}");
        foreach (var caution in Bench.Reporting.Cautions.For(adapter))
            screen.Say("CAUTION  ", caution);
        screen.Say();
    }

    public IProgress<SweepEvent> Progress(SweepView checks) => new Steps(screen, checks);

    public void Show(DraftFindings findings)
    {
        foreach (var chain in findings.Chains)
        {
            screen.Say();
            if (chain.Answers.IsEmpty)
                screen.Say("line     ", $"{chain.Line.Name}: no point answers it alone.");
            else
                screen.Say("line     ", $"{chain.Line.Name}: {Path(chain)}");
            foreach (var answer in chain.Answers)
                Say(answer);
        }
        if (!findings.Shared.IsEmpty)
            screen.Say();
        foreach (var answer in findings.Shared)
            screen.Say("shared   ", $"{answer.Point} {(answer.Follows ? "follows" : "inverts")} '{answer.Line.Name}' too.");
        screen.Say();
        foreach (var question in findings.Questions.Select(question => question.Words).Concat(DraftProfile.Standing))
            screen.Say("ask      ", question);
    }

    /// <param name="file">Where the draft was written; null where it was not.</param>
    public void Show(bool hasChannel, string? file)
    {
        screen.Say();
        var state = hasChannel ? "a profile that loads" : "no profile yet, since no point answers any line alone";
        screen.Say("Draft    ", file is null ? $"{state}; nothing was written. --write FILE writes it." : $"{file}: {state}. Answer what begins with ASK in it.");
    }

    /// <summary>The points in their order, those whose order is not known with a question mark between.</summary>
    private static string Path(DraftChain chain)
    {
        var path = chain.Line.Name;
        for (var i = 0; i < chain.Answers.Length; i++)
            path += $"{(i > 0 && !chain.IsBefore(chain.Answers[i - 1].Point, chain.Answers[i].Point) ? " ?" : " >")} {chain.Answers[i].Point}";
        return path;
    }

    private void Say(DraftAnswer answer)
    {
        var bounces = answer.Bounces > 0 ? string.Create(CultureInfo.InvariantCulture, $"; bounces up to {answer.Bounces} times within {answer.Settle}") : "";
        screen.Say("  ", string.Create(
            CultureInfo.InvariantCulture,
            $"{answer.Point} {(answer.Follows ? "follows" : "inverts")}: {answer.WhileOn.ArrivalWord()} {answer.On.Value} ± {answer.On.ExpandedUncertainty} (95 %) after the line goes on, and back {answer.Off.Value} ± {answer.Off.ExpandedUncertainty} after it goes idle; in {answer.Answered} of {answer.Seen} pulses (it would in {Math.Floor(answer.AtLeast * 100)} % at least, 95 % confidence){bounces}."));
    }

    private sealed class Steps(TextScreen screen, SweepView checks) : IProgress<SweepEvent>
    {
        public void Report(SweepEvent value)
        {
            switch (value)
            {
                case CheckDone check:
                    checks.Say(check);
                    break;
                case DraftPulseDone pulse:
                    screen.Say("pulsed   ", $"{pulse.Line.Name}: {pulse.Number} times{(pulse.Of > 1 ? $" for each of {pulse.Of} settings of the multiplexers" : "")}.");
                    break;
                default:
                    break;
            }
        }
    }
}
