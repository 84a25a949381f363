; The Windows installer, by NSIS 3: makensis /DVERSION=0.1.0 /DFOLDER=..\..\build\packages\wallwright wallwright.nsi
; Installs for the present person, without administrator rights. The person may choose the folder, so the uninstaller
; deletes the installed files by name (uninstall_list.py) and never a folder with its content.
Unicode true
!include "MUI2.nsh"

!tempfile INSTALLED
!system 'python uninstall_list.py "${FOLDER}" "${INSTALLED}"' = 0

Name "Wallwright"
OutFile "wallwright-${VERSION}-setup.exe"
InstallDir "$LOCALAPPDATA\Programs\Wallwright"
RequestExecutionLevel user
SetCompressor /SOLID lzma

!insertmacro MUI_PAGE_LICENSE "..\LICENSE"
!insertmacro MUI_PAGE_DIRECTORY
!insertmacro MUI_PAGE_INSTFILES
!insertmacro MUI_UNPAGE_CONFIRM
!insertmacro MUI_UNPAGE_INSTFILES
!insertmacro MUI_LANGUAGE "English"
!insertmacro MUI_LANGUAGE "German"

!define UNINSTALL "Software\Microsoft\Windows\CurrentVersion\Uninstall\Wallwright"

Section
  ; The uninstaller of an earlier version knows which files that one installed.
  IfFileExists "$INSTDIR\uninstall.exe" 0 +2
  ExecWait '"$INSTDIR\uninstall.exe" /S _?=$INSTDIR'
  SetOutPath "$INSTDIR"
  File /r "${FOLDER}\*.*"
  WriteUninstaller "$INSTDIR\uninstall.exe"
  CreateShortcut "$SMPROGRAMS\Wallwright.lnk" "$INSTDIR\wallwright.exe" "window"
  WriteRegStr HKCU "Software\Classes\.wallwright" "" "Wallwright.Project"
  WriteRegStr HKCU "Software\Classes\Wallwright.Project" "" "Wallwright project"
  WriteRegStr HKCU "Software\Classes\Wallwright.Project\shell\open\command" "" '"$INSTDIR\wallwright.exe" window "%1"'
  WriteRegStr HKCU "${UNINSTALL}" "DisplayName" "Wallwright"
  WriteRegStr HKCU "${UNINSTALL}" "DisplayVersion" "${VERSION}"
  WriteRegStr HKCU "${UNINSTALL}" "UninstallString" '"$INSTDIR\uninstall.exe"'
SectionEnd

Section "Uninstall"
  Delete "$SMPROGRAMS\Wallwright.lnk"
  DeleteRegKey HKCU "Software\Classes\.wallwright"
  DeleteRegKey HKCU "Software\Classes\Wallwright.Project"
  DeleteRegKey HKCU "${UNINSTALL}"
  !include "${INSTALLED}"
  Delete "$INSTDIR\uninstall.exe"
  RMDir "$INSTDIR"
SectionEnd
!delfile "${INSTALLED}"
