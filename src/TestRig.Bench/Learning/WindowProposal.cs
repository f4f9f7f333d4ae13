using System.Collections.Immutable;
using TestRig.Bench.Files;
using TestRig.Core.Learning;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Learning;

/// <summary>A profile with learned windows written into it. Nothing is written to any file here.</summary>
/// <param name="Text">The whole new profile.</param>
/// <param name="Difference">Its unified difference from the old one; empty where nothing changes.</param>
/// <param name="Errors">What is wrong with the new profile; none, unless the old one changed meanwhile.</param>
public sealed record WindowProposal(string Text, string Difference, ImmutableArray<ProfileError> Errors)
{
    /// <param name="text">The profile as it is.</param>
    /// <param name="path">Where it stands, for the headings of the difference and for the part types beside it.</param>
    /// <param name="measuredBy">"on ATmega2560 at /dev/ttyACM0": goes into the reason of each window.</param>
    public static WindowProposal Of(string text, string path, string partLibraryFolder, ImmutableArray<LearnedChannel> learned, string measuredBy)
    {
        var errors = new ErrorList(path);
        if (DocumentReader.ReadText(text, errors) is not MapNode root || root["channels"] is not MapNode channels)
            return new(text, "", [.. errors.InReadingOrder()]);
        var amendments = new ProfileAmendments(text);
        foreach (var channel in learned)
        {
            if (channels[channel.Channel.Name] is MapNode group)
                new ChannelAmendment(amendments, group, channel, measuredBy).Write();
        }
        var amended = amendments.Amended;
        return new(amended, UnifiedDifference.Of(text, amended, path, path + " (proposed)"), ProfileLoader.LoadText(amended, path, partLibraryFolder).Errors);
    }

    /// <summary>Writes the windows of one channel into its group.</summary>
    private sealed class ChannelAmendment(ProfileAmendments amendments, MapNode group, LearnedChannel learned, string measuredBy)
    {
        private const int Step = 2;

        public void Write()
        {
            var points = learned.Windows.GroupBy(window => window.Stage.OutputName).ToList();
            if (points.Count > 0)
                WriteWindows(points);
            foreach (var contact in learned.Contacts)
                WriteContact(contact);
        }

        private void WriteWindows(List<IGrouping<string, LearnedWindow>> points)
        {
            if (group["expect"] is MapNode { Entries.IsEmpty: false } expect)
            {
                foreach (var point in points)
                {
                    if (expect[point.Key] is MapNode known)
                        Amend(known, point);
                    else if (expect.InBraces)
                        amendments.AddInBraces(expect, $"{point.Key}: {Braces(point)}");
                    else
                        amendments.AddLinesAfter(expect, Lines(point, expect.Place.Column - 1));
                }
                return;
            }
            if (group["expect"] is MapNode { InBraces: true } empty)
            {
                amendments.AddInBraces(empty, string.Join(", ", points.Select(point => $"{point.Key}: {Braces(point)}")));
                return;
            }
            if (group.InBraces)
            {
                amendments.AddInBraces(group, $"expect: {{ {string.Join(", ", points.Select(point => $"{point.Key}: {Braces(point)}"))} }}");
                return;
            }
            var indentation = group.Place.Column - 1;
            amendments.AddLinesAfter(group, [$"{new string(' ', indentation)}expect:", .. points.SelectMany(point => Lines(point, indentation + Step))]);
        }

        /// <summary>Where the profile has an override already, its window gives way, and its reason with it.</summary>
        private void Amend(MapNode known, IGrouping<string, LearnedWindow> point)
        {
            var keys = point.Select(KeyOf).ToHashSet();
            foreach (var window in point)
            {
                if (known[KeyOf(window)] is TextNode present)
                    amendments.Replace(present, Range(window));
                else if (known.InBraces)
                    amendments.AddInBraces(known, $"{KeyOf(window)}: {Range(window)}");
                else
                    amendments.AddLinesAfter(known, $"{new string(' ', known.Place.Column - 1)}{KeyOf(window)}: {Range(window)}");
            }
            if (known["because"] is not TextNode because)
                return;
            var staying = known.Entries.Any(entry => entry.Key.Text is "rises" or "falls" && !keys.Contains(entry.Key.Text));
            amendments.Replace(because, Quoted(staying ? $"{because.Text.Trim()}; {string.Join(", ", keys)} {Reason(point)}" : Reason(point)));
        }

        /// <summary>Feedback has no key for a reason: it stands in a comment above.</summary>
        private void WriteContact(LearnedContact contact)
        {
            if (group["feedback"] is not MapNode feedback || feedback[contact.Feedback.Point.Name] is not MapNode keys)
                return;
            if (contact.Bounces is { } bounces && keys["bounces"] is TextNode count)
            {
                amendments.AddCommentBefore(count, $"bounces: learned {measuredBy}: {contact.Method}");
                amendments.Replace(count, $"..{bounces}");
            }
            if (contact.SettlesWithin is { } settles && keys["settles-within"] is TextNode time)
            {
                amendments.AddCommentBefore(time, $"settles-within: learned {measuredBy}: {contact.Method}");
                amendments.Replace(time, WindowText.AtMost(settles));
            }
        }

        private string[] Lines(IGrouping<string, LearnedWindow> point, int indentation)
        {
            var (outer, inner) = (new string(' ', indentation), new string(' ', indentation + Step));
            return [$"{outer}{point.Key}:", .. point.Select(window => $"{inner}{KeyOf(window)}: {Range(window)}"), $"{inner}because: {Quoted(Reason(point))}"];
        }

        private string Braces(IGrouping<string, LearnedWindow> point) =>
            $"{{ {string.Join(", ", point.Select(window => $"{KeyOf(window)}: {Range(window)}"))}, because: {Quoted(Reason(point))} }}";

        private string Reason(IEnumerable<LearnedWindow> point)
        {
            var from = learned.From == learned.Channel ? "" : $" from channel {learned.From.Name}";
            var methods = point.Select(window => window.Method).Distinct().ToList();
            return $"learned{from} {measuredBy}: {(methods.Count == 1 ? methods[0] : string.Join("; ", point.Select(window => $"{KeyOf(window)}: {window.Method}")))}";
        }

        private static string KeyOf(LearnedWindow window) => window.Output == Level.High ? "rises" : "falls";

        private static string Range(LearnedWindow window) => WindowText.Range(window.Earliest, window.Latest);

        private static string Quoted(string text) => $"'{text.Replace("'", "''", StringComparison.Ordinal)}'";
    }
}
