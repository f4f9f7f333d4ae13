namespace TestRig.Bench.Storage;

/// <summary>The values of an enumeration as the store keeps them: by name, so that their order may change.</summary>
internal static class StoredWord
{
    /// <exception cref="InvalidDataException">There is no such value.</exception>
    public static T Read<T>(string word)
        where T : struct, Enum =>
        Enum.TryParse<T>(word, out var value) && value.ToString() == word ? value : throw new InvalidDataException($"'{word}' is no {typeof(T).Name} that this version knows");
}
