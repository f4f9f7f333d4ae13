using System.Collections.Immutable;
using System.Text;
using TestRig.Bench.Files;

namespace TestRig.Bench.Learning;

/// <summary>
/// Amendments of a profile's text: each at its place, everything else, comments and layout too, left as it is. Places are those of the text before any of them.
/// </summary>
internal sealed class ProfileAmendments
{
    private readonly string _text;
    private readonly List<(int From, int To, string With)> _amendments = [];
    private readonly ImmutableArray<int> _lineStarts;

    public ProfileAmendments(string text)
    {
        _text = text;
        NewLine = text.Contains("\r\n", StringComparison.Ordinal) ? "\r\n" : "\n";
        _lineStarts = [0, .. Enumerable.Range(0, text.Length).Where(at => text[at] == '\n').Select(at => at + 1)];
    }

    public string NewLine { get; }

    /// <summary>The text with all amendments made.</summary>
    public string Amended
    {
        get
        {
            var result = new StringBuilder();
            var done = 0;
            // Those at one place in the order in which they were asked for.
            foreach (var (from, to, with) in _amendments.OrderBy(amendment => amendment.From))
            {
                result.Append(_text, done, from - done).Append(with);
                done = to;
            }
            return result.Append(_text, done, _text.Length - done).ToString();
        }
    }

    /// <summary>Puts another value where one stands.</summary>
    public void Replace(TextNode value, string with)
    {
        _amendments.Add((At(value.Place), IsBlock(value) ? _lineStarts[LineBehind(value)] : At(value.End), IsBlock(value) ? with + NewLine : with));
    }

    /// <summary>Lines of their own behind the last line of a group or value.</summary>
    public void AddLinesAfter(DocumentNode node, params ReadOnlySpan<string> lines)
    {
        var line = LineBehind(node);
        if (line < _lineStarts.Length)
            AddLinesAt(_lineStarts[line], lines);
        else
            AddLinesAt(_text.Length, [_text.EndsWith('\n') ? lines[0] : NewLine + lines[0], .. lines[1..]]);
    }

    /// <summary>A comment in a line of its own in front of the line where something stands, indented as that line is.</summary>
    public void AddCommentBefore(DocumentNode node, string comment)
    {
        var start = _lineStarts[node.Place.Line - 1];
        var indentation = _text[start..].TakeWhile(letter => letter == ' ').Count();
        AddLinesAt(start, [$"{new string(' ', indentation)}# {comment}"]);
    }

    /// <summary>One more key in a group between braces.</summary>
    public void AddInBraces(MapNode group, string entry)
    {
        var brace = At(group.End) - 1;
        var last = brace;
        while (last > 0 && char.IsWhiteSpace(_text[last - 1]))
            last--;
        _amendments.Add((last, last, group.Entries.IsEmpty ? $" {entry} " : $", {entry}"));
    }

    private static bool IsBlock(DocumentNode node) => node.End.Column == 1;

    /// <summary>The 0-based line behind a node's last one. A block of text ends where the next line begins that is not empty.</summary>
    private int LineBehind(DocumentNode node)
    {
        var line = IsBlock(node) ? node.End.Line - 1 : node.End.Line;
        while (IsBlock(node) && string.IsNullOrWhiteSpace(_text[_lineStarts[line - 1].._lineStarts[line]]))
            line--;
        return line;
    }

    private void AddLinesAt(int index, ReadOnlySpan<string> lines)
    {
        foreach (var line in lines)
            _amendments.Add((index, index, line + NewLine));
    }

    private int At(Place place) => _lineStarts[place.Line - 1] + place.Column - 1;
}
