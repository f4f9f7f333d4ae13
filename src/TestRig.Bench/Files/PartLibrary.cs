using System.Collections.Immutable;
using TestRig.Core.Boards;

namespace TestRig.Bench.Files;

/// <summary>The part types of a folder of part files, by name.</summary>
public sealed class PartLibrary
{
    private PartLibrary(ImmutableSortedDictionary<string, PartType> types, ImmutableSortedDictionary<string, string> texts, ImmutableHashSet<string> brokenNames)
    {
        Types = types;
        Texts = texts;
        BrokenNames = brokenNames;
    }

    public ImmutableSortedDictionary<string, PartType> Types { get; }

    /// <summary>What each type was read from.</summary>
    internal ImmutableSortedDictionary<string, string> Texts { get; }

    /// <summary>File names, without ending, of part files with errors: a profile that uses one is not told that there is no such type.</summary>
    internal ImmutableHashSet<string> BrokenNames { get; }

    /// <summary>Those of <see cref="Texts"/> that hold one of these types.</summary>
    internal ImmutableSortedDictionary<string, string> TextsOf(IEnumerable<string> types)
    {
        var wanted = types.ToHashSet(StringComparer.Ordinal);
        return Texts.RemoveRange(Texts.Keys.Where(type => !wanted.Contains(type)));
    }

    /// <summary>All types of both; of one that is in both, this library's. A broken file here hides the other library's type too.</summary>
    public PartLibrary Over(PartLibrary fallback)
    {
        var types = fallback.Types.RemoveRange(BrokenNames).SetItems(Types);
        return new(types, fallback.Texts.RemoveRange(BrokenNames).SetItems(Texts), fallback.BrokenNames.Except(Types.Keys).Union(BrokenNames));
    }

    /// <summary>Reads every *.yaml file of the folder. A file is named after the type that it holds.</summary>
    public static (PartLibrary Library, ImmutableArray<ProfileError> Errors) Load(string folder)
    {
        string[] files;
        try
        {
            files = Directory.GetFiles(folder, "*.yaml");
        }
        catch (Exception unreadable) when (unreadable is IOException or UnauthorizedAccessException)
        {
            var (none, _) = Read([]);
            return (none, [new(folder, 0, 0, "", $"the folder of part files cannot be read ({unreadable.Message})", "name the folder that holds one file for each part type")]);
        }
        return Read(files.Order(StringComparer.Ordinal).Select(file => new PartFile(file, errors => DocumentReader.ReadContent(file, errors))));
    }

    /// <summary>The same of texts, by the name of the type that each holds.</summary>
    internal static (PartLibrary Library, ImmutableArray<ProfileError> Errors) Of(ImmutableSortedDictionary<string, string> texts) =>
        Read(texts.Select(text => new PartFile($"parts/{text.Key}.yaml", _ => text.Value)));

    private static (PartLibrary Library, ImmutableArray<ProfileError> Errors) Read(IEnumerable<PartFile> files)
    {
        var types = ImmutableSortedDictionary.CreateBuilder<string, PartType>(StringComparer.Ordinal);
        var texts = ImmutableSortedDictionary.CreateBuilder<string, string>(StringComparer.Ordinal);
        var broken = ImmutableHashSet.CreateBuilder<string>();
        var allErrors = ImmutableArray.CreateBuilder<ProfileError>();
        foreach (var file in files)
        {
            var errors = new ErrorList(file.Path);
            var text = file.Read(errors);
            var type = text is null ? null : PartTypeReader.Read(text, errors);
            var fileName = Path.GetFileNameWithoutExtension(file.Path);
            if (type is not null && type.Value.Name != fileName)
                errors.Add(type, $"the file holds '{type.Value.Name}' but is named '{fileName}'", $"rename the file to '{type.Value.Name}.yaml', or the part");
            if (errors.Any)
            {
                broken.Add(fileName);
            }
            else if (text is not null && type is not null)
            {
                types.Add(type.Value.Name, type.Value);
                texts.Add(type.Value.Name, text);
            }
            allErrors.AddRange(errors.InReadingOrder());
        }
        return (new(types.ToImmutable(), texts.ToImmutable(), broken.ToImmutable()), allErrors.ToImmutable());
    }

    /// <param name="Read">Its text; null after an error.</param>
    private sealed record PartFile(string Path, Func<ErrorList, string?> Read);
}
