using System.Globalization;
using System.Text;
using System.Xml;
using TestRig.Bench.Exercising;
using TestRig.Core.Judging;

namespace TestRig.Bench.Reporting;

/// <summary>
/// A sweep as junit.xml, for programs that show test results: one testcase a channel, and one more with an error when the run ended early. There is no standard; this keeps to what such programs agree on
/// (common practice): testsuites/testsuite with the counts tests, failures, errors and skipped, properties, testcase with classname, name and time in seconds,
/// holding failure, error or skipped, and system-err for why a run ended early.
/// </summary>
/// <remarks>A channel that is not working is a failure; one that was not tested is skipped, also where the run was stopped before it.</remarks>
public static class RunJunit
{
    /// <param name="profile">The profile's path as the user wrote it.</param>
    public static string Write(SweepResult result, string profile)
    {
        var text = new StringBuilder();
        using (var writer = XmlWriter.Create(text, new() { Indent = true, OmitXmlDeclaration = true, NewLineChars = "\n" }))
            Write(writer, result, profile);
        // The file is written as UTF-8; a StringBuilder would have made the declaration say UTF-16.
        return $"<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{text}\n";
    }

    private static void Write(XmlWriter writer, SweepResult result, string profile)
    {
        var endedEarly = result.Ending.Outcome != SweepOutcome.Complete;
        var failures = result.Channels.Count(channel => channel.IsFaulty);
        var skipped = result.Channels.Count(channel => channel.Condition == Condition.NotTested);
        var total = Seconds(result.Channels.Sum(SecondsOf));

        void Counts(string name)
        {
            Attribute(writer, "name", name);
            Attribute(writer, "tests", Whole(result.Channels.Length + (endedEarly ? 1 : 0)));
            Attribute(writer, "failures", Whole(failures));
            Attribute(writer, "errors", Whole(endedEarly ? 1 : 0));
            Attribute(writer, "skipped", Whole(skipped));
            Attribute(writer, "time", total);
        }

        writer.WriteStartElement("testsuites");
        Counts("testrig sweep");
        writer.WriteStartElement("testsuite");
        Counts(NameOf(result));
        Attribute(writer, "timestamp", result.Started.ToString("yyyy-MM-dd'T'HH:mm:ss", CultureInfo.InvariantCulture));
        writer.WriteStartElement("properties");
        foreach (var (name, value) in ((string, string)[])[
            ("profile", profile),
            ("mode", Words.Of(result.Mode)),
            ("adapter", Words.Adapter(result.Adapter)),
            ("resolution", result.Adapter.Resolution.ToString())])
        {
            writer.WriteStartElement("property");
            Attribute(writer, "name", name);
            Attribute(writer, "value", value);
            writer.WriteEndElement();
        }
        writer.WriteEndElement();
        foreach (var channel in result.Channels)
            Case(writer, result, channel);
        if (endedEarly)
            EarlyEnd(writer, result);
        if (result.Ending.Words.Length > 0)
            writer.WriteElementString("system-err", MarkupText.Permitted(result.Ending.Words));
        writer.WriteEndElement();
        writer.WriteEndElement();
    }

    private static void Case(XmlWriter writer, SweepResult result, ChannelResult channel)
    {
        writer.WriteStartElement("testcase");
        Attribute(writer, "classname", NameOf(result));
        Attribute(writer, "name", channel.Channel.Name);
        Attribute(writer, "time", Seconds(SecondsOf(channel)));
        if (channel.Condition == Condition.NotTested)
        {
            writer.WriteStartElement("skipped");
            Attribute(writer, "message", channel.Summary);
            writer.WriteEndElement();
        }
        else if (channel.IsFaulty)
        {
            var suspect = result.Diagnosis.Suspects.FirstOrDefault(candidate => candidate.Explains.Contains(channel.Channel.Name));
            var first = suspect is null
                ? "No single fault of the profile explains what was seen."
                : $"First suspect: {string.Join(" or ", suspect.Group)}: {suspect.Words} ({Words.Percent(suspect.Belief).Trim()}).";
            writer.WriteStartElement("failure");
            Attribute(writer, "type", Words.Of(channel.Condition));
            Attribute(writer, "message", $"{channel.Summary} {first}");
            var wrong = channel.Findings
                .Where(finding => finding.IsWrong)
                .Select(finding => finding.Words);
            writer.WriteString(MarkupText.Permitted(string.Join("\n", wrong.Prepend(first))));
            writer.WriteEndElement();
        }
        writer.WriteEndElement();
    }

    /// <summary>All channels may have passed before, or been skipped: without an error such a run would be taken for a good one.</summary>
    private static void EarlyEnd(XmlWriter writer, SweepResult result)
    {
        writer.WriteStartElement("testcase");
        Attribute(writer, "classname", NameOf(result));
        Attribute(writer, "name", "run to its end");
        Attribute(writer, "time", Seconds(0));
        writer.WriteStartElement("error");
        Attribute(writer, "type", Words.Of(result.Ending.Outcome));
        Attribute(writer, "message", result.Ending.Words);
        writer.WriteEndElement();
        writer.WriteEndElement();
    }

    private static string NameOf(SweepResult result) => Words.Simulated(result.Adapter) + result.Board.Name;

    /// <summary>The length of the exercise on the adapter's own clock; 0 for a channel that was not exercised.</summary>
    private static double SecondsOf(ChannelResult channel) => channel.Capture?.End.SinceStart.ToSeconds() ?? 0;

    private static string Seconds(double seconds) => seconds.ToString("0.000", CultureInfo.InvariantCulture);

    private static string Whole(int count) => count.ToString(CultureInfo.InvariantCulture);

    private static void Attribute(XmlWriter writer, string name, string value) => writer.WriteAttributeString(name, MarkupText.Permitted(value));
}
