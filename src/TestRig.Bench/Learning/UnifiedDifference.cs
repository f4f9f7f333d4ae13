using System.Globalization;
using System.Text;

namespace TestRig.Bench.Learning;

/// <summary>The difference of two texts in the unified form (POSIX diff -u), which a person reviews and `patch` applies.</summary>
public static class UnifiedDifference
{
    private const int Context = 3;

    /// <summary>Empty where the texts are the same. Line ends are '\n'; a text that does not end with one is told so, as diff does.</summary>
    /// <param name="oldName">For the heading.</param>
    public static string Of(string oldText, string newText, string oldName, string newName)
    {
        var (before, after) = (LinesOf(oldText), LinesOf(newText));
        var script = Script(before, after);
        if (script.TrueForAll(step => step.Sign == ' '))
            return "";
        var result = new StringBuilder($"--- {oldName}\n+++ {newName}\n");
        foreach (var (from, to) in Hunks(script))
            Write(result, script, from, to);
        return result.ToString();
    }

    /// <summary>Each with its end, so that a last line without one differs from one with it.</summary>
    private static List<string> LinesOf(string text)
    {
        var lines = new List<string>();
        for (var at = 0; at < text.Length;)
        {
            var end = text.IndexOf('\n', at);
            end = end < 0 ? text.Length : end + 1;
            lines.Add(text[at..end]);
            at = end;
        }
        return lines;
    }

    /// <summary>What is kept, removed and added, by the longest common subsequence of what is not the same at both ends.</summary>
    private static List<(char Sign, string Line)> Script(List<string> before, List<string> after)
    {
        var head = 0;
        while (head < before.Count && head < after.Count && before[head] == after[head])
            head++;
        var tail = 0;
        while (tail < before.Count - head && tail < after.Count - head && before[^(tail + 1)] == after[^(tail + 1)])
            tail++;
        var (rows, columns) = (before.Count - head - tail, after.Count - head - tail);
        var common = new int[rows + 1, columns + 1];
        for (var i = rows - 1; i >= 0; i--)
        {
            for (var j = columns - 1; j >= 0; j--)
                common[i, j] = before[head + i] == after[head + j] ? common[i + 1, j + 1] + 1 : Math.Max(common[i + 1, j], common[i, j + 1]);
        }
        var script = new List<(char, string)>();
        script.AddRange(before.Take(head).Select(line => (' ', line)));
        for (int i = 0, j = 0; i < rows || j < columns;)
        {
            if (i < rows && j < columns && before[head + i] == after[head + j])
            {
                script.Add((' ', before[head + i]));
                i++;
                j++;
            }
            else if (i < rows && (j == columns || common[i + 1, j] >= common[i, j + 1]))
            {
                script.Add(('-', before[head + i++]));
            }
            else
            {
                script.Add(('+', after[head + j++]));
            }
        }
        script.AddRange(before.Skip(before.Count - tail).Select(line => (' ', line)));
        return script;
    }

    /// <summary>Stretches of the script: each change with its context, those whose contexts touch as one.</summary>
    private static IEnumerable<(int From, int To)> Hunks(List<(char Sign, string Line)> script)
    {
        (int From, int To)? open = null;
        for (var i = 0; i < script.Count; i++)
        {
            if (script[i].Sign == ' ')
                continue;
            var (from, to) = (Math.Max(0, i - Context), Math.Min(script.Count, i + 1 + Context));
            if (open is var (start, end) && from <= end)
            {
                open = (start, to);
                continue;
            }
            if (open is { } done)
                yield return done;
            open = (from, to);
        }
        if (open is { } last)
            yield return last;
    }

    private static void Write(StringBuilder result, List<(char Sign, string Line)> script, int from, int to)
    {
        var hunk = script[from..to];
        var (oldCount, newCount) = (hunk.Count(step => step.Sign != '+'), hunk.Count(step => step.Sign != '-'));
        var (oldBefore, newBefore) = (script.Take(from).Count(step => step.Sign != '+'), script.Take(from).Count(step => step.Sign != '-'));
        // Of a side without lines the line in front of it is named.
        result.Append(CultureInfo.InvariantCulture, $"@@ -{oldBefore + (oldCount > 0 ? 1 : 0)},{oldCount} +{newBefore + (newCount > 0 ? 1 : 0)},{newCount} @@\n");
        foreach (var (sign, line) in hunk)
        {
            result.Append(sign).Append(line);
            if (!line.EndsWith('\n'))
                result.Append("\n\\ No newline at end of file\n");
        }
    }
}
