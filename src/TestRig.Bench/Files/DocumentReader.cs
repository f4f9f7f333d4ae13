using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using YamlDotNet.Core;
using YamlDotNet.Core.Events;

namespace TestRig.Bench.Files;

/// <summary>
/// Reads a YAML file into nodes that know their places. Duplicate keys, which YAML forbids and most readers let the last one win, are errors; so
/// are anchors, aliases, tags and several documents, which a profile has no use for.
/// </summary>
internal sealed class DocumentReader
{
    /// <summary>A profile of a card with a hundred channels is below 100 kB; anything over this is another kind of file.</summary>
    private const int BytesMaximum = 1_000_000;

    private readonly ErrorList _errors;
    private readonly EventList _parser;

    private DocumentReader(List<ParsingEvent> events, ErrorList errors)
    {
        _errors = errors;
        _parser = new(events);
    }

    /// <summary>The root of the file's only document; null after an error that leaves nothing to go on with.</summary>
    public static DocumentNode? Read(string path, ErrorList errors) => ReadContent(path, errors) is { } content ? ReadText(content, errors) : null;

    /// <summary>The file's text; null after an error.</summary>
    public static string? ReadContent(string path, ErrorList errors)
    {
        if (Directory.Exists(path))
        {
            errors.Add(default, "", "this is a folder, not a file", "name a file in it");
            return null;
        }
        byte[] bytes;
        try
        {
            bytes = File.ReadAllBytes(path);
        }
        catch (Exception unreadable) when (unreadable is IOException or UnauthorizedAccessException)
        {
            errors.Add(default, "", $"the file cannot be read ({unreadable.Message})", "check its name and that you may read it");
            return null;
        }
        if (bytes.Length > BytesMaximum)
        {
            errors.Add(default, "", $"the file has {bytes.Length} bytes", $"a profile or part file has at most {BytesMaximum}");
            return null;
        }
        try
        {
            return new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(bytes);
        }
        catch (DecoderFallbackException broken)
        {
            errors.Add(PlaceOf(bytes, broken.Index), "", "the text is not valid UTF-8", "save the file in the encoding UTF-8");
            return null;
        }
    }

    private static Place PlaceOf(byte[] bytes, int index)
    {
        var before = bytes.AsSpan(0, Math.Clamp(index, 0, bytes.Length));
        var line = before.Count((byte)'\n') + 1;
        return new(line, Encoding.UTF8.GetCharCount(before[(before.LastIndexOf((byte)'\n') + 1)..]) + 1);
    }

    /// <summary>The root of the only document in this text, which is or may become the content of a file.</summary>
    public static DocumentNode? ReadText(string content, ErrorList errors)
    {
        var text = content.StartsWith('\uFEFF') ? content[1..] : content;
        if (ReportTabs(text, errors))
            return null;
        var events = new List<ParsingEvent>();
        try
        {
            var parser = new Parser(new StringReader(text));
            while (parser.MoveNext())
                events.Add(parser.Current!);
        }
        // YamlDotNet 18.1 throws this, without a place, for some plain texts inside a bracket that is never closed.
        catch (InvalidOperationException)
        {
            errors.Add(LastOpenBracket(events), "", "this is not YAML: the bracket that opens here is not closed", "close it with ] or }");
            return null;
        }
        catch (YamlException syntax)
        {
            errors.Add(
                PlaceOf(syntax.Start),
                "",
                $"this is not YAML: {syntax.Message.Trim().TrimEnd('.')}",
                "look at this line and the one above it for a missing colon, bracket, quote or indentation");
            return null;
        }
        return new DocumentReader(events, errors).ReadOnlyDocument();
    }

    /// <summary>The innermost bracket or brace still open after the events; the start of the file when none is.</summary>
    private static Place LastOpenBracket(List<ParsingEvent> events)
    {
        var open = new Stack<(Place Place, bool Bracket)>();
        foreach (var parsed in events)
        {
            switch (parsed)
            {
                case SequenceStart sequence:
                    open.Push((PlaceOf(sequence.Start), sequence.Style == SequenceStyle.Flow));
                    break;
                case MappingStart mapping:
                    open.Push((PlaceOf(mapping.Start), mapping.Style == MappingStyle.Flow));
                    break;
                case SequenceEnd or MappingEnd:
                    open.Pop();
                    break;
            }
        }
        return open.Where(candidate => candidate.Bracket).Select(candidate => candidate.Place).FirstOrDefault(new Place(1, 1));
    }

    /// <summary>Replays events, so that everything that the parser itself may throw happens before.</summary>
    private sealed class EventList(List<ParsingEvent> events) : IParser
    {
        private int _next;

        public ParsingEvent? Current { get; private set; }

        public bool MoveNext()
        {
            Current = _next < events.Count ? events[_next++] : null;
            return Current is not null;
        }
    }

    /// <summary>YAML forbids tabs as indentation, and what parsers say about them does not help: look for them first.</summary>
    private static bool ReportTabs(string text, ErrorList errors)
    {
        var any = false;
        var lines = text.Split('\n');
        for (var i = 0; i < lines.Length; i++)
        {
            var indentation = lines[i].AsSpan(0, lines[i].Length - lines[i].AsSpan().TrimStart(" \t").Length);
            var tab = indentation.IndexOf('\t');
            if (tab < 0)
                continue;
            errors.Add(new(i + 1, tab + 1), "", "the line is indented with a tab", "indent with spaces, two for each step");
            any = true;
        }
        return any;
    }

    private DocumentNode? ReadOnlyDocument()
    {
        _parser.Consume<StreamStart>();
        if (_parser.Accept<StreamEnd>(out _))
        {
            _errors.Add(new(1, 1), "", "the file is empty", "a profile begins with 'format: testrig-profile/1'");
            return null;
        }
        _parser.Consume<DocumentStart>();
        var root = ReadNode("");
        _parser.Consume<DocumentEnd>();
        if (_parser.Accept<DocumentStart>(out var second))
        {
            _errors.Add(PlaceOf(second.Start), "", "a second document begins here", "keep one board or part in a file: remove the '---'");
            return null;
        }
        return root;
    }

    private DocumentNode ReadNode(string keyPath)
    {
        if (_parser.Current is NodeEvent node && (!node.Anchor.IsEmpty || !node.Tag.IsEmpty))
            _errors.Add(PlaceOf(node.Start), keyPath, "an anchor (&name) or a tag (!name) stands here", "profiles do without them: write the value out");
        if (_parser.TryConsume<Scalar>(out var scalar))
            return TextOf(scalar);
        if (_parser.TryConsume<SequenceStart>(out var sequence))
        {
            var items = ImmutableArray.CreateBuilder<DocumentNode>();
            while (!_parser.Accept<SequenceEnd>(out _))
                items.Add(ReadNode(string.Create(CultureInfo.InvariantCulture, $"{keyPath}[{items.Count + 1}]")));
            var end = _parser.Consume<SequenceEnd>();
            return new ListNode(PlaceOf(sequence.Start), items.ToImmutable())
            {
                End = sequence.Style == SequenceStyle.Flow || items.Count == 0 ? PlaceOf(end.End) : items[^1].End,
            };
        }
        if (_parser.TryConsume<MappingStart>(out var mapping))
            return ReadMap(mapping, keyPath);
        var alias = _parser.Consume<AnchorAlias>();
        _errors.Add(PlaceOf(alias.Start), keyPath, "an alias (*name) stands here", "profiles do without them: write the value out");
        return new TextNode(PlaceOf(alias.Start), alias.Value.Value, Quoted: false);
    }

    private MapNode ReadMap(MappingStart mapping, string keyPath)
    {
        var entries = new Dictionary<string, MapEntry>();
        var order = ImmutableArray.CreateBuilder<MapEntry>();
        while (!_parser.Accept<MappingEnd>(out _))
        {
            var keyNode = ReadNode(keyPath);
            if (keyNode is not TextNode key)
            {
                _errors.Add(keyNode.Place, keyPath, $"{keyNode.Kind} stands where a key should be", "a key is a plain word, followed by a colon");
                ReadNode(keyPath);
                continue;
            }
            var path = Join(keyPath, key.Text);
            var entry = new MapEntry(key, ReadNode(path));
            if (entries.TryGetValue(key.Text, out var first))
            {
                _errors.Add(
                    key.Place, path, string.Create(CultureInfo.InvariantCulture, $"'{key.Text}' is here twice, first in line {first.Key.Place.Line}"),
                    "keep one of the two, or rename one");
                continue;
            }
            entries.Add(key.Text, entry);
            order.Add(entry);
        }
        var end = _parser.Consume<MappingEnd>();
        // The parser gives no place for a pair without braces inside brackets, [ a: b ]: it begins with its key.
        var place = mapping.Start.Index == 0 && order.Count > 0 ? order[0].Key.Place : PlaceOf(mapping.Start);
        var inBraces = mapping.Style == MappingStyle.Flow;
        return new(place, order.ToImmutable()) { InBraces = inBraces, End = inBraces || order.Count == 0 ? PlaceOf(end.End) : order[^1].Value.End };
    }

    public static string Join(string keyPath, string key) => keyPath.Length == 0 ? key : $"{keyPath}.{key}";

    private static TextNode TextOf(Scalar scalar) => new(PlaceOf(scalar.Start), scalar.Value, scalar.Style != ScalarStyle.Plain)
    {
        End = PlaceOf(scalar.End),
    };

    private static Place PlaceOf(Mark mark) => new(checked((int)mark.Line), checked((int)mark.Column));
}
