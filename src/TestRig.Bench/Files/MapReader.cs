using System.Text.RegularExpressions;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Files;

/// <summary>A key that a group may have. A required one carries an example, which becomes the remedy when it is missing.</summary>
/// <param name="Form">What stands behind the key; null where no schema is published.</param>
internal sealed record KeyRule(string Name, bool Required, string Example, ValueForm? Form)
{
    public static KeyRule Must(string name, string example, ValueForm? form = null) => new(name, true, example, form);

    public static KeyRule May(string name, ValueForm? form = null) => new(name, false, "", form);
}

/// <summary>One group of keys, checked for unknown and missing ones when it is opened.</summary>
internal sealed partial class MapReader
{
    /// <summary>Blanks, colons, plus and equals signs separate names on the command line, so a name has none.</summary>
    public const string NamePattern = "^[A-Za-z0-9._-]+$";

    public static readonly (string Word, Level Value)[] LevelWords = [("low", Core.Quantities.Level.Low), ("high", Core.Quantities.Level.High)];

    private readonly Dictionary<string, MapEntry> _entries;
    private readonly ErrorList _errors;
    private readonly string _keyPath;

    private MapReader(MapNode node, string keyPath, ErrorList errors)
    {
        _entries = node.Entries.ToDictionary(entry => entry.Key.Text);
        _errors = errors;
        _keyPath = keyPath;
        Place = node.Place;
    }

    public Place Place { get; }

    public string? FirstKey => _entries.Values.MinBy(entry => (entry.Key.Place.Line, entry.Key.Place.Column))?.Key.Text;

    /// <summary>Null, with an error, when the node is no group of keys.</summary>
    public static MapReader? Open(DocumentNode node, string keyPath, ErrorList errors, params KeyRule[] rules)
    {
        if (node is not MapNode map)
        {
            errors.Add(node.Place, keyPath, $"{node.Kind} stands here", $"a group of keys belongs here: {string.Join(", ", rules.Select(rule => rule.Name))}");
            return null;
        }
        foreach (var entry in map.Entries)
        {
            if (!rules.Any(rule => rule.Name == entry.Key.Text))
            {
                errors.Add(
                    entry.Key.Place, DocumentReader.Join(keyPath, entry.Key.Text), $"there is no key '{entry.Key.Text}' here",
                    RemedyFor(entry.Key.Text, rules));
            }
        }
        var reader = new MapReader(map, keyPath, errors);
        var misspelt = map.Entries.Where(entry => !rules.Any(rule => rule.Name == entry.Key.Text)).Select(entry => entry.Key.Text).ToArray();
        foreach (var rule in rules.Where(rule => rule.Required && reader[rule.Name] is null && !misspelt.Any(key => NearestName.IsNear(key, rule.Name))))
            errors.Add(map.Place, keyPath, $"'{rule.Name}' is missing; it has no default", $"write for example '{rule.Example}'");
        return reader;
    }

    private static string RemedyFor(string unknown, KeyRule[] rules)
    {
        // Without its blank the colon is a part of the word; and a comma ends what stands between braces.
        if (unknown.Split(':', 2) is [var key, var value] && rules.Any(rule => rule.Name == key.Trim()))
            return $"write a blank behind the colon: '{key.Trim()}: {value.Trim()}'";
        return unknown.Length > 0 && char.IsAsciiDigit(unknown[0])
            ? "write a decimal point, not a comma: '4.7 kohm'"
            : NearestName.Suggest(unknown, rules.Select(rule => rule.Name), "keys");
    }

    /// <summary>Every entry of a group whose keys are names given by the author.</summary>
    public static IEnumerable<(Written<string> Name, DocumentNode Value)> Names(DocumentNode? node, string keyPath, ErrorList errors, string kind)
    {
        if (node is null)
            yield break;
        if (node is not MapNode map)
        {
            errors.Add(node.Place, keyPath, $"{node.Kind} stands here", $"name each of the {kind}: '{keyPath}: {{ NAME: … }}'");
            yield break;
        }
        foreach (var entry in map.Entries)
        {
            var path = DocumentReader.Join(keyPath, entry.Key.Text);
            CheckName(entry.Key, path, errors);
            yield return (new(entry.Key.Text, entry.Key.Place, path), entry.Value);
        }
    }

    private static void CheckName(TextNode name, string keyPath, ErrorList errors)
    {
        if (NameForm().Match(name.Text) is not { Success: true } match || match.Length != name.Text.Length)
            errors.Add(name.Place, keyPath, $"'{name.Text}' cannot be a name", "use letters A to Z, digits, '.', '-' and '_'");
    }

    public DocumentNode? this[string key] => _entries.GetValueOrDefault(key)?.Value;

    public string PathOf(string key) => DocumentReader.Join(_keyPath, key);

    /// <summary>A single value that is not empty; null when the key is absent, or with an error when it holds something else.</summary>
    public Written<string>? Text(string key) => this[key] is { } node ? TextOf(node, PathOf(key), _errors) : null;

    public static Written<string>? TextOf(DocumentNode node, string keyPath, ErrorList errors)
    {
        if (node is TextNode text && !string.IsNullOrWhiteSpace(text.Text))
            return new(text.Text.Trim(), text.Place, keyPath);
        errors.Add(node.Place, keyPath, $"{node.Kind} stands here", node is MapNode ? "a single value belongs here; text with a colon in it goes into quotes" : "a single value belongs here");
        return null;
    }

    /// <summary>Unlike YAML's own rules, which read "no", "off" and "n" as false, only these two words.</summary>
    public Written<bool>? TrueOrFalse(string key) => Choice(key, [("true", true), ("false", false)]);

    public Written<Level>? Level(string key) => Choice(key, LevelWords);

    public Written<T>? Choice<T>(string key, (string Word, T Value)[] choices)
    {
        if (Text(key) is not { } text)
            return null;
        foreach (var (word, value) in choices)
        {
            if (word == text.Value)
                return new(value, text.Place, text.KeyPath);
        }
        _errors.Add(text, $"'{text.Value}' is not one of the words for {key}", $"write {string.Join(" or ", choices.Select(choice => choice.Word))}");
        return null;
    }

    /// <summary>The items of a list of single values; null when the key is absent or holds something else.</summary>
    public IReadOnlyList<Written<string>>? Texts(string key)
    {
        if (this[key] is not { } node)
            return null;
        if (node is not ListNode list)
        {
            _errors.Add(node.Place, PathOf(key), $"{node.Kind} stands here", $"a list belongs here: '{key}: [ … , … ]'");
            return null;
        }
        var texts = new List<Written<string>>();
        for (var i = 0; i < list.Items.Length; i++)
        {
            if (TextOf(list.Items[i], $"{PathOf(key)}[{i + 1}]", _errors) is { } text)
                texts.Add(text);
        }
        return texts;
    }

    [GeneratedRegex(NamePattern)]
    private static partial Regex NameForm();
}
