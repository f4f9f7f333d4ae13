using TestRig.Bench.Files;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Files;

/// <summary>A profile without an error, in which tests change one thing at a time.</summary>
/// <param name="file">What it is called.</param>
internal sealed class ChangedProfile(string file, string good) : IDisposable
{
    private readonly DirectoryInfo _folder = TestFolders.Create();

    /// <summary>Where it is written.</summary>
    public string Folder => _folder.FullName;

    public void Dispose() => _folder.Delete(recursive: true);

    public ProfileResult Load(string profile)
    {
        var path = Path.Combine(Folder, file);
        File.WriteAllText(path, profile);
        return ProfileLoader.Load(path, Repository.PartsFolder);
    }

    public string Change(string from, string to)
    {
        var at = good.IndexOf(from, StringComparison.Ordinal);
        Assert.True(at >= 0 && good.IndexOf(from, at + 1, StringComparison.Ordinal) < 0, $"'{from}' is not in the good profile exactly once");
        return good.Replace(from, to, StringComparison.Ordinal);
    }

    /// <summary>That one change is one mistake, told with these words.</summary>
    /// <param name="place">Line, column and, where there is one, the path of the key.</param>
    public void Expect(string from, string to, string place, string what, string remedy)
    {
        var result = Load(Change(from, to));
        Assert.Null(result.Board);
        var error = Assert.Single(result.Errors);
        Assert.EndsWith(file, error.File, StringComparison.Ordinal);
        Assert.Equal(place, $"{error.Line}:{error.Column} {error.KeyPath}".TrimEnd());
        Assert.Contains(what, error.What, StringComparison.Ordinal);
        Assert.Contains(remedy, error.Remedy, StringComparison.Ordinal);
    }
}
