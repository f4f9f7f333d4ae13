using System.Collections.Immutable;
using TestRig.Core.Boards;

namespace TestRig.Bench.Files;

/// <summary>The part types of a folder of part files, by name.</summary>
public sealed class PartLibrary
{
    private PartLibrary(ImmutableSortedDictionary<string, PartType> types, ImmutableHashSet<string> brokenNames)
    {
        Types = types;
        BrokenNames = brokenNames;
    }

    public ImmutableSortedDictionary<string, PartType> Types { get; }

    /// <summary>File names, without ending, of part files with errors: a profile that uses one is not told that there is no such type.</summary>
    internal ImmutableHashSet<string> BrokenNames { get; }

    /// <summary>All types of both; of one that is in both, this library's. A broken file here hides the other library's type too.</summary>
    public PartLibrary Over(PartLibrary fallback)
    {
        var types = fallback.Types.RemoveRange(BrokenNames).SetItems(Types);
        return new(types, fallback.BrokenNames.Except(Types.Keys).Union(BrokenNames));
    }

    /// <summary>Reads every *.yaml file of the folder. A file is named after the type that it holds.</summary>
    public static (PartLibrary Library, ImmutableArray<ProfileError> Errors) Load(string folder)
    {
        var types = ImmutableSortedDictionary.CreateBuilder<string, PartType>(StringComparer.Ordinal);
        var broken = ImmutableHashSet.CreateBuilder<string>();
        var allErrors = ImmutableArray.CreateBuilder<ProfileError>();
        string[] files;
        try
        {
            files = Directory.GetFiles(folder, "*.yaml");
        }
        catch (Exception unreadable) when (unreadable is IOException or UnauthorizedAccessException)
        {
            allErrors.Add(new(folder, 0, 0, "", $"the folder of part files cannot be read ({unreadable.Message})", "name the folder that holds one file for each part type"));
            files = [];
        }
        foreach (var file in files.Order(StringComparer.Ordinal))
        {
            var errors = new ErrorList(file);
            var type = PartTypeReader.Read(file, errors);
            var fileName = Path.GetFileNameWithoutExtension(file);
            if (type is not null && type.Value.Name != fileName)
                errors.Add(type, $"the file holds '{type.Value.Name}' but is named '{fileName}'", $"rename the file to '{type.Value.Name}.yaml', or the part");
            if (errors.Any)
                broken.Add(fileName);
            else if (type is not null)
                types.Add(type.Value.Name, type.Value);
            allErrors.AddRange(errors.InReadingOrder());
        }
        return (new(types.ToImmutable(), broken.ToImmutable()), allErrors.ToImmutable());
    }
}
