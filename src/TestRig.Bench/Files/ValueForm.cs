using System.Collections.Immutable;

namespace TestRig.Bench.Files;

/// <summary>What may stand behind a key, as far as it can be said without looking at the rest of the file: the schema is made from it.</summary>
internal abstract record ValueForm
{
    /// <summary>Any single value: a name, a reason.</summary>
    public static ValueForm Text { get; } = new TextForm();

    public static ValueForm TrueOrFalse { get; } = new TrueOrFalseForm();

    /// <summary>How many of something: a whole number, at least 1.</summary>
    public static ValueForm Number { get; } = new NumberForm();

    public static ValueForm Level { get; } = OneOf(MapReader.LevelWords.Select(choice => choice.Word));

    public static ValueForm OneOf(IEnumerable<string> words) => new WordsForm([.. words]);

    /// <param name="pattern">A regular expression that ECMA-262 reads as .NET does, with both anchors.</param>
    public static ValueForm Like(string pattern) => new PatternForm(pattern);

    public static ValueForm ListOf(ValueForm item, int least = 0, int? most = null) => new ListForm(item, least, most);

    public static ValueForm Group(KeyRule[] keys) => new GroupForm([.. keys]);

    /// <summary>A group whose keys are names given by the author.</summary>
    public static ValueForm NamesOf(ValueForm entry, int least = 0) => new NamesForm(entry, least);

    public static ValueForm Either(params ValueForm[] forms) => new EitherForm([.. forms]);
}

internal sealed record TextForm : ValueForm;

internal sealed record TrueOrFalseForm : ValueForm;

internal sealed record NumberForm : ValueForm;

internal sealed record WordsForm(ImmutableArray<string> Words) : ValueForm;

internal sealed record PatternForm(string Pattern) : ValueForm;

internal sealed record ListForm(ValueForm Item, int Least, int? Most) : ValueForm;

internal sealed record GroupForm(ImmutableArray<KeyRule> Keys) : ValueForm;

internal sealed record NamesForm(ValueForm Entry, int Least) : ValueForm;

internal sealed record EitherForm(ImmutableArray<ValueForm> Forms) : ValueForm;
