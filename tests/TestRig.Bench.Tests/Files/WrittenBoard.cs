using TestRig.Bench.Files;
using TestRig.Core.Boards;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Files;

/// <summary>A board as its profile is written, with the part types that come with the program.</summary>
internal static class WrittenBoard
{
    public static Board Of(string profile)
    {
        var folder = TestFolders.Create();
        try
        {
            var path = Path.Combine(folder.FullName, "board.yaml");
            File.WriteAllText(path, profile);
            var (board, errors) = ProfileLoader.Load(path, Repository.PartsFolder);
            return board ?? throw new InvalidOperationException($"{string.Join('\n', errors)}\n{profile}");
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }
}
